package tidy

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// ErrForeign is wrapped by the refusal of a table that holds no trials.
var ErrForeign = errors.New("not a table of trials")

// most bounds a table [bytes]; ours need about 400 a trial.
const most = 16 << 20

// Read reads a table that [Write] wrote, or that a person made or saved again. It wants
// the columns run and counts and one quantity at least. Rows that cannot be read are told
// by their line and left out. Trials of one run and one group come together, in the order
// of the rows.
func Read(in io.Reader) (all []kept.Kept, faults []error, err error) {
	text, err := io.ReadAll(io.LimitReader(in, most+1))
	if err != nil {
		return nil, nil, err
	}
	if len(text) > most {
		return nil, nil, fmt.Errorf("%w: it is larger than %d MB", ErrForeign, most>>20)
	}
	r := quantity.Table(string(text))
	r.FieldsPerRecord = -1
	header, err := r.Read()
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrForeign, err)
	}
	names, err := known(header)
	if err != nil {
		return nil, nil, err
	}
	for {
		line, err := r.Read()
		if errors.Is(err, io.EOF) {
			return all, faults, nil
		}
		if err == nil {
			if strings.Join(line, "") == "" {
				continue
			}
			at, _ := r.FieldPos(0)
			if err = take(&all, names, line); err != nil {
				err = fmt.Errorf("line %d: %w", at, err)
			}
		}
		if err != nil {
			faults = append(faults, fmt.Errorf("%w: the row is left out", err))
		}
	}
}

func known(header []string) ([]string, error) {
	names := make([]string, len(header))
	for i, h := range header {
		names[i] = strings.TrimSpace(h)
		if names[i] != "" && slices.Contains(names[:i], names[i]) {
			return nil, fmt.Errorf("%w: the column %s is there twice", ErrForeign, names[i])
		}
	}
	for _, need := range []string{"run", "counts"} {
		if !slices.Contains(names, need) {
			return nil, fmt.Errorf("%w: it has no column %s", ErrForeign, need)
		}
	}
	if !slices.ContainsFunc(quantities, func(key string) bool { return slices.Contains(names, key) }) {
		return nil, fmt.Errorf("%w: it has no column such as %s", ErrForeign, quantities[0])
	}
	return names, nil
}

// take adds one row.
func take(all *[]kept.Kept, names, line []string) error {
	if len(line) != len(names) {
		return fmt.Errorf("it has %d fields, the header %d", len(line), len(names))
	}
	one := kept.Kept{Trials: make([]trials.Row, 1)}
	p := place{&one, 0, &one.Trials[0]}
	for i, name := range names {
		cell := strings.TrimSpace(line[i])
		at := slices.IndexFunc(columnsAll, func(c column) bool { return c.name == name })
		if cell == "" || at < 0 || columnsAll[at].set == nil {
			continue
		}
		if err := columnsAll[at].set(p, cell); err != nil {
			return fmt.Errorf("column %s: %w", name, err)
		}
	}
	for _, key := range quantities {
		if err := p.measure(key, names, line); err != nil {
			return err
		}
	}
	if p.row.Run == "" {
		return errors.New("it names no run")
	}
	one.Run = strings.TrimSuffix(p.row.Run, ".csv")
	same := slices.IndexFunc(*all, func(k kept.Kept) bool {
		return k.Run == one.Run && k.Group == one.Group && k.Trials[0].Bench == p.row.Bench
	})
	if same < 0 {
		*all = append(*all, one)
		return nil
	}
	(*all)[same].Trials = append((*all)[same].Trials, one.Trials...)
	return nil
}

var columnsAll = slices.Concat(before, after)

// measure reads one quantity. A value without an uncertainty is not taken for exact: it is
// refused.
func (p place) measure(key string, names, line []string) error {
	var found [3]float64
	var there [3]bool
	for k, name := range []string{key, "u_" + key, "u_shared_" + key} {
		i := slices.Index(names, name)
		if i < 0 || strings.TrimSpace(line[i]) == "" {
			continue
		}
		v, err := parse(line[i])
		if err != nil || k > 0 && v < 0 {
			return fmt.Errorf("column %s: %q is not a number that can be", name, line[i])
		}
		found[k], there[k] = v, true
	}
	if !there[0] {
		return nil
	}
	if !there[1] {
		return fmt.Errorf("column u_%s is empty where %s is not: state the standard uncertainty", key, key)
	}
	p.row.Measure(key, energy.Estimate{Value: found[0], U: found[1]})
	if there[2] {
		if p.row.Shared == nil {
			p.row.Shared = map[string][]trials.Effect{}
		}
		source := fmt.Sprintf("all that trials at %s with %s on %s share", p.row.Bench, p.row.Bob, p.row.Spring)
		p.row.Shared[key] = []trials.Effect{{Source: source, By: min(found[2], found[1])}}
	}
	return nil
}
