package trials

import (
	"errors"
	"io"
	"math"

	"joulewell/daq/analysis"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
)

// Options say of a trial what its rows do not.
type Options struct {
	Release float64 // [s] of the release, on the rows' time base
	Over    Reason  // why the watcher ended it; empty = nobody watched
	Cycles  int     // [1] whole swings that a trial must have; 0 = 3
}

// usualCycles is how many whole swings a trial must have where nobody says.
const usualCycles = 3

// Trial is a finished trial.
type Trial struct {
	Row   Row
	Run   *analysis.Run   // all that was worked out; nil where nothing could be
	Swing *analysis.Swing // the trial's; nil where there is none
}

// ReadAll reads all rows of a recorded run.
func ReadAll(rows analysis.Rows) ([]frame.Frame, error) {
	var all []frame.Frame
	for {
		var f frame.Frame
		switch err := rows.Next(&f); {
		case errors.Is(err, io.EOF):
			return all, nil
		case err != nil:
			return nil, err
		}
		all = append(all, f)
	}
}

// Work judges a trial from its rows, from the hold before the release to the end, and
// sums it up. It refuses a setup that cannot be; rows from which nothing can be worked
// out make a trial that does not count.
func Work(rows []frame.Frame, b *setup.Bench, o Options) (*Trial, error) {
	hung, err := newBody(b)
	if err != nil {
		return nil, err
	}
	if o.Cycles <= 0 {
		o.Cycles = usualCycles
	}
	t := &Trial{Row: Row{Bench: b.Name, Spring: b.SpringLabel, Bob: b.BobLabel, Release: o.Release, Over: o.Over}}
	v := newView(rows, b, hung, o)
	run, err := analysis.Analyse(&list{rows: rows}, b, analysis.Options{})
	if err == nil { // else it is the rows: the setup has been accepted
		t.Run, t.Swing = run, swingAt(run, o.Release)
		v.swing = t.Swing
	}
	t.Row.judge(v)
	switch {
	case err != nil:
		t.Row.found(finding(Unread, true, "nothing could be worked out: %v", err))
	case t.Swing == nil:
		t.Row.found(finding(Unread, true, "no swing begins with the release at %.2f s", o.Release))
	default:
		t.Row.fill(v)
	}
	return t, nil
}

// swingAt returns the swing that begins with a release.
func swingAt(run *analysis.Run, release float64) *analysis.Swing {
	const near = 0.5 // [s]
	var best *analysis.Swing
	for i := range run.Swings {
		s := &run.Swings[i]
		if s.To > release && s.From < release+near && (best == nil || math.Abs(s.From-release) < math.Abs(best.From-release)) {
			best = s
		}
	}
	return best
}

// list hands rows out one by one.
type list struct {
	rows []frame.Frame
	next int
}

func (l *list) Next(f *frame.Frame) error {
	if l.next == len(l.rows) {
		return io.EOF
	}
	*f = l.rows[l.next]
	l.next++
	return nil
}
