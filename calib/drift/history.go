package drift

import (
	"fmt"
	"time"

	"joulewell/energy/quantity"
)

// History are the records of one book in order of time.
type History struct {
	Unit    Unit
	Records []Record
}

// Of returns the records of one standard.
func (h History) Of(what What, standard string) History {
	return h.where(func(r *Record) bool { return r.What == what && r.Standard == standard })
}

// Since returns the records from a moment on, such as that of the last calibration: a
// chart does not reach back over one.
func (h History) Since(when time.Time) History {
	return h.where(func(r *Record) bool { return !r.When.Before(when) })
}

func (h History) where(keep func(*Record) bool) History {
	part := History{Unit: h.Unit}
	for i := range h.Records {
		if keep(&h.Records[i]) {
			part.Records = append(part.Records, h.Records[i])
		}
	}
	return part
}

// Standards returns the histories of each standard by itself, in order of first use.
func (h History) Standards() []History {
	var all []History
	for i := range h.Records {
		r := &h.Records[i]
		known := false
		for _, one := range all {
			known = known || one.Records[0].What == r.What && one.Records[0].Standard == r.Standard
		}
		if !known {
			all = append(all, h.Of(r.What, r.Standard))
		}
	}
	return all
}

// Deviations returns indication less reference of each record [unit].
func (h History) Deviations() []float64 {
	all := make([]float64, len(h.Records))
	for i := range h.Records {
		all[i] = h.Records[i].Deviation().Value
	}
	return all
}

// Check returns nil, or names the first record that is wrong or out of order.
func (h History) Check() error {
	if err := h.Unit.check(); err != nil {
		return err
	}
	for i := range h.Records {
		if err := h.Records[i].Check(); err != nil {
			return fmt.Errorf("record %d: %w", i+1, err)
		}
		if i > 0 {
			if err := follows(&h.Records[i], &h.Records[i-1]); err != nil {
				return fmt.Errorf("record %d: %w", i+1, err)
			}
		}
	}
	return nil
}

func follows(r, last *Record) error {
	if r.When.Before(last.When) {
		return fmt.Errorf("%s comes after %s: must not be older than the record before", stamp(r.When), stamp(last.When))
	}
	return nil
}

// alone wants at least so many good records of one and the same standard.
func (h History) alone(least int) error {
	if err := h.Check(); err != nil {
		return err
	}
	if len(h.Records) < least {
		return fmt.Errorf("%s: at least %d are needed", quantity.Count(len(h.Records), "record"), least)
	}
	if kinds := h.Standards(); len(kinds) > 1 {
		a, b := kinds[0].Records[0], kinds[1].Records[0]
		return fmt.Errorf("records of %d standards are mixed, %s %q and %s %q among them: take one at a time", len(kinds), a.What, a.Standard, b.What, b.Standard)
	}
	return nil
}
