package analysis

import (
	"errors"
	"fmt"
	"math"

	"joulewell/calib/fit"
	"joulewell/energy/loss"
)

// mostRows bounds the rows of a swing's ledger; with more cycles, each row holds several.
const mostRows = 40

// books compares the decay models and keeps the books of a swing, as a whole and cycle
// by cycle. Cycles count from the first turning point, the release where there was one,
// and the whole ends on the same side: between equal sides the unsure place of the sensor
// nearly cancels.
func (a *analyser) books(s *Swing) error {
	evidence, err := loss.Compare(s.Record)
	switch {
	case err == nil:
		s.Evidence = &evidence
	case errors.Is(err, loss.ErrFew):
		s.Notes = append(s.Notes, fmt.Sprintf("decay models not compared: %d turning points, at least 6 needed", len(s.Record)))
	default:
		s.Notes = append(s.Notes, "decay models not compared: "+err.Error())
	}
	entries := loss.Entries{
		Apparatus: a.bench.Apparatus, Record: s.Record, To: loss.LastAlike(s.Record),
		Scale: a.relative(), Offset: a.offset(s),
		Evidence: s.Evidence, Loops: s.Loops, Drag: a.options.Drag,
	}
	s.Entries = entries
	whole, err := loss.Balance(entries)
	if err != nil {
		return fmt.Errorf("swing from %.2f s: %w", s.From, err)
	}
	s.Whole = &whole
	if s.Drawn, err = a.draw(entries); err != nil {
		return fmt.Errorf("swing from %.2f s: %w", s.From, err)
	}
	cycles := (s.Record[len(s.Record)-1].Index - s.Record[0].Index) / 2
	s.CyclesPerRow = max(1, (cycles+mostRows-1)/mostRows)
	for from := 0; ; {
		to := after(s.Record, from, 2*s.CyclesPerRow)
		if to < 0 {
			return nil
		}
		entries.From, entries.To = from, to
		if len(s.Rows) == 0 {
			if s.FirstDrawn, err = a.draw(entries); err != nil {
				return fmt.Errorf("first cycle: %w", err)
			}
		}
		row, err := loss.Balance(entries)
		if err != nil {
			return fmt.Errorf("cycle from %.2f s: %w", s.Record[from].T.Value, err)
		}
		s.Rows = append(s.Rows, row)
		from = to
	}
}

// draw draws the loss of a ledger by Monte Carlo, where that was asked for.
func (a *analyser) draw(e loss.Entries) (*fit.Distribution, error) {
	if a.options.Source == nil {
		return nil, nil
	}
	d, err := loss.Draw(e, draws, a.options.Source)
	return &d, err
}

// after returns the position of the first turning point at least so many half swings
// after the one at from and on its side; -1 where there is none.
func after(record []loss.Turning, from, halves int) int {
	for i := from + 1; i < len(record); i++ {
		if d := record[i].Index - record[from].Index; d >= halves && d%2 == 0 {
			return i
		}
	}
	return -1
}

// offset is the standard uncertainty [m] of the place of all extensions: that of the
// sensor's offset, and what an uncertain scale does to the mean distance.
func (a *analyser) offset(s *Swing) float64 {
	c := &a.bench.Calibration.Distance
	middle := (s.Turns[0].Height.Value + s.Turns[1].Height.Value) / 2
	sound := 0.0
	if ch := a.channels; ch.echoes {
		sound = ch.sound.U / ch.sound.Value
	}
	return c.Common(math.Abs(middle-c.Offset.Value), sound)
}
