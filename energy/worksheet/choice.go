package worksheet

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"joulewell/energy/balance"
	"joulewell/energy/quantity"
)

// Choice is what the instructor decides.
type Choice struct {
	Title    string
	Readings []ID // to print; none = all that were taken
	Results  []ID // to ask for; none = all that can be worked out, and an explanation
	Digits   int  // [1] significant digits to which anybody may round on the way; 0 = three
}

// Reasons for refusing a choice.
var (
	ErrUnknown  = errors.New("no such reading or result")
	ErrNotTaken = errors.New("reading was not taken")
	ErrCannot   = errors.New("cannot be worked out from what is printed")
)

// ChoiceError refuses a choice because of one reading or result.
type ChoiceError struct {
	ID     ID
	Reason error // one of the above
	Lacks  []ID  // what would have to be printed, where that is known
	Known  []ID  // what may be chosen in its place, where it is none of them
}

func (e *ChoiceError) Error() string {
	switch {
	case len(e.Known) > 0:
		return fmt.Sprintf("choose %s: %s: there is %s", e.ID, e.Reason, join(e.Known))
	case len(e.Lacks) == 0:
		return fmt.Sprintf("choose %s: %s", e.ID, e.Reason)
	}
	return fmt.Sprintf("choose %s: %s: print %s", e.ID, e.Reason, join(e.Lacks))
}

func (e *ChoiceError) Unwrap() error { return e.Reason }

// New makes the sheet that the instructor chose, and its key. The readings are held
// against each other first: what [balance.Compare] refuses, New refuses.
func New(r balance.Readings, c Choice) (*Sheet, *Key, error) {
	compared, err := balance.Compare(r, balance.Method{})
	if err != nil {
		return nil, nil, fmt.Errorf("make a worksheet: %w", err)
	}
	taken := takenFrom(r)
	if err := c.check(taken); err != nil {
		return nil, nil, err
	}
	digits := cmp.Or(c.Digits, usual)
	s := &Sheet{Title: c.Title, Digits: digits, Rules: rules(digits)}
	for _, e := range readings {
		if q, ok := taken[e.id]; ok && (len(c.Readings) == 0 || slices.Contains(c.Readings, e.id)) {
			s.Readings = append(s.Readings, e.printed(q))
		}
	}
	w, err := s.Working()
	if err != nil {
		return nil, nil, err
	}
	for _, e := range results {
		can, chosen := e.id == Explanation || w.can(e.id), slices.Contains(c.Results, e.id)
		switch {
		case chosen && !can:
			return nil, nil, &ChoiceError{ID: e.id, Reason: ErrCannot, Lacks: w.lacks(e.id)}
		case chosen || (can && len(c.Results) == 0 && w.sure(e.id)):
			s.Results = append(s.Results, Item{ID: e.id, Label: e.label, Unit: e.unit})
		}
	}
	k, err := s.Key()
	if err != nil {
		return nil, nil, err
	}
	k.Verdict = compared.Verdict
	k.Notes = append(k.Notes, leftOff(s, taken)...)
	return s, k, nil
}

// check refuses what is not there to be chosen.
func (c *Choice) check(taken map[ID]quantity.Quantity) error {
	for _, id := range c.Readings {
		if !id.isReading() {
			return &ChoiceError{ID: id, Reason: ErrUnknown, Known: Readings()}
		}
		if _, ok := taken[id]; !ok {
			return &ChoiceError{ID: id, Reason: ErrNotTaken}
		}
	}
	for _, id := range c.Results {
		if !id.isResult() {
			return &ChoiceError{ID: id, Reason: ErrUnknown, Known: Results()}
		}
	}
	return nil
}

// takenFrom lists the readings that somebody took. A tension or a speed that is zero by
// decision is none.
func takenFrom(r balance.Readings) map[ID]quantity.Quantity {
	r.Bench.Fill()
	b := r.Bench
	all := map[ID]quantity.Quantity{
		BobMass: b.BobMass, BobLength: b.BobLength, SpringMass: b.SpringMass, NaturalLength: b.NaturalLength,
		HungLength: r.Hung, Rate: b.Rate, InitialTension: b.InitialTension, Gravity: b.Gravity, SupportHeight: b.Support,
		StartHeight: r.Start.Height, StartLength: r.Start.Length, StartSpeed: r.Start.Speed,
		EndHeight: r.End.Height, EndLength: r.End.Length, EndSpeed: r.End.Speed,
	}
	for id, q := range all {
		if !q.Given() || q.How == quantity.Exact {
			delete(all, id)
		}
	}
	return all
}

// lacks names what would have to be printed besides to work out a result; where height
// and length of a state would both do, the height.
func (w *Working) lacks(id ID) []ID {
	more := &Working{digits: w.digits, printed: maps.Clone(w.printed), steps: map[ID]Expr{}}
	for _, e := range readings {
		if _, name := e.id.Split(); name != "length" && !optional(e.id) {
			more.printed[e.id] = w.printed[e.id]
		}
	}
	more.plan()
	var missing []ID
	for _, step := range more.Behind(id, nil) {
		for on := range more.steps[step].Values() {
			if more.Printed(on) && !w.Printed(on) && !slices.Contains(missing, on) {
				missing = append(missing, on)
			}
		}
	}
	return missing
}

// optional readings add a term where they are printed.
func optional(id ID) bool {
	_, name := id.Split()
	return id == SpringMass || id == InitialTension || name == "speed"
}

// leftOff says which readings the books would need that were taken and not printed.
func leftOff(s *Sheet, taken map[ID]quantity.Quantity) []string {
	var off []ID
	for _, e := range readings {
		if _, ok := taken[e.id]; ok && optional(e.id) && !slices.ContainsFunc(s.Readings, func(i Item) bool { return i.ID == e.id }) {
			off = append(off, e.id)
		}
	}
	if len(off) == 0 {
		return nil
	}
	return []string{fmt.Sprintf("the sheet does without %s: the key follows the sheet, the bench does not", join(off))}
}

// join writes "a, b and c".
func join(ids []ID) string {
	var b strings.Builder
	for i, id := range ids {
		switch {
		case i > 0 && i == len(ids)-1:
			b.WriteString(" and ")
		case i > 0:
			b.WriteString(", ")
		}
		b.WriteString(string(id))
	}
	return b.String()
}

// Needed returns the fewest significant digits, three at least, with which rounding on the
// way does not drown what was lost. Of readings that no sheet can be made of it returns
// three; [New] says why.
func Needed(r balance.Readings, c Choice) int {
	for c.Digits = usual; c.Digits < most; c.Digits++ {
		sheet, _, err := New(r, c)
		if err != nil {
			return usual
		}
		if w, err := sheet.Working(); err != nil || !w.Drowned(sheet) {
			return c.Digits
		}
	}
	return most
}
