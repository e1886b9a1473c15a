package series

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/energy"
	"joulewell/energy/balance"
	"joulewell/energy/quantity"
	"joulewell/energy/worksheet"
)

// Asked is a worksheet as the instructor chose it.
type Asked struct {
	Run    string         `json:"run"`    // of the trial; empty = any
	Index  int            `json:"index"`  // [1] of the trial in the run
	Print  []worksheet.ID `json:"print"`  // readings; none = all
	Ask    []worksheet.ID `json:"ask"`    // results; none = all that can be worked out
	Digits int            `json:"digits"` // [1] significant digits to which anybody may round on the way; 0 = as many as what was lost needs, 3 at least
}

// ErrSheet is wrapped by refusals of a worksheet.
var ErrSheet = errors.New("no worksheet can be made of it")

// check refuses readings and results that do not exist, while no trial is there to try.
func (a *Asked) check() error {
	for _, list := range [][]worksheet.ID{a.Print, a.Ask} {
		for _, id := range list {
			if id.Label() == string(id) {
				return fmt.Errorf("%w: choose %s: %w", ErrSheet, id, worksheet.ErrUnknown)
			}
		}
	}
	if a.Digits != 0 && (a.Digits < 2 || a.Digits > 6) {
		return fmt.Errorf("%w: %d significant digits: 2 to 6 can be asked for", ErrSheet, a.Digits)
	}
	return nil
}

// Extensions reports whether the sheet may ask for an extension.
func (a *Asked) Extensions() bool {
	return len(a.Ask) == 0 || slices.Contains(a.Ask, worksheet.StartExtension) || slices.Contains(a.Ask, worksheet.EndExtension)
}

// Worksheet makes the sheet of a trial, and its key. Without a run it is that of the
// newest trial that counts.
func (s *Series) Worksheet(a Asked) (*worksheet.Sheet, *worksheet.Key, error) {
	row, err := s.row(&a)
	if err != nil {
		return nil, nil, err
	}
	run, err := runfile.OpenNamed(s.dir, a.Run)
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrSheet, err)
	}
	defer run.Close()
	if run.Meta() == nil {
		return nil, nil, fmt.Errorf("%w: the metadata file of run %s is missing: the apparatus stands there", ErrSheet, a.Run)
	}
	r, err := Readings(&run.Meta().Setup, &row)
	if err != nil {
		return nil, nil, err
	}
	c := worksheet.Choice{
		Title:    fmt.Sprintf("Energies of a bob on a spring: bench %s, trial %s", row.Bench, a.trial()),
		Readings: a.Print, Results: a.Ask, Digits: a.Digits,
	}
	if a.Digits == 0 {
		c.Digits = worksheet.Needed(r, c)
	}
	sheet, key, err := worksheet.New(r, c)
	if err != nil {
		return nil, nil, fmt.Errorf("%w: %w", ErrSheet, err)
	}
	return sheet, key, nil
}

// trial names a trial for people.
func (a *Asked) trial() string {
	if a.Index == 0 {
		return a.Run
	}
	return fmt.Sprintf("%s, number %d", a.Run, a.Index+1)
}

// row returns the row of the trial that is meant, and fills in which that is.
func (s *Series) row(a *Asked) (trials.Row, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if a.Run != "" {
		l, err := s.find(a.Run, a.Index)
		if err != nil {
			return trials.Row{}, err
		}
		return l.Trials[a.Index], nil
	}
	for i := len(s.lists) - 1; i >= 0; i-- {
		l := &s.lists[i]
		for n := len(l.Trials) - 1; n >= 0; n-- {
			if l.Trials[n].Counts {
				a.Run, a.Index = l.Run, n
				return l.Trials[n], nil
			}
		}
	}
	return trials.Row{}, fmt.Errorf("%w: none counts so far", ErrNoTrial)
}

// Readings are the start and the end of a trial on bench b as a student would take them:
// heights by a rule, to the millimetre, and no speed where the bob turns.
func Readings(b *setup.Bench, r *trials.Row) (balance.Readings, error) {
	if r.Start == nil || r.End == nil {
		return balance.Readings{}, fmt.Errorf("%w: where the bob was let go, or where it turned last, is not known", ErrSheet)
	}
	read := balance.Readings{Start: state(r.Start), End: state(r.End)}
	read.Bench.Know(&b.Apparatus)
	return read, nil
}

func state(p *trials.Place) balance.State {
	const division = 1e-3 // [m]
	u := math.Hypot(p.Height.U, division/math.Sqrt(12))
	return balance.State{Height: quantity.Known(quantity.Length, energy.Estimate{
		Value: math.Round(p.Height.Value/division) * division, U: u,
	})}
}
