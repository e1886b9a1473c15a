package trials

import (
	"joulewell/daq/frame"
	"joulewell/daq/setup"
)

// before is how much [s] of the hold before a release belongs to its trial.
const before = 2.0

// Split finds the trials in the frames of a run on bench b, works each out and sums it up.
// A trial that the run breaks off ends with it.
func Split(frames []frame.Frame, b *setup.Bench, r Rule) ([]*Trial, error) {
	w, err := NewWatcher(b, r)
	if err != nil {
		return nil, err
	}
	var events []Event
	for i := range frames {
		if e := w.Feed(&frames[i]); e.Kind != Nothing {
			events = append(events, e)
		}
	}
	var all []*Trial
	for i, e := range events {
		if e.Kind != Released {
			continue
		}
		o := Options{Release: seconds(e.T)}
		to := len(frames)
		if i+1 < len(events) && events[i+1].Kind == Over {
			o.Over = events[i+1].Reason
			to = upTo(frames, events[i+1].Seen)
		}
		from := upTo(frames, e.T-int64(before*1e9))
		t, err := Work(frames[from:to], b, o)
		if err != nil {
			return nil, err
		}
		all = append(all, t)
	}
	return all, nil
}

// upTo returns how many frames lie before the instant t [ns] or at it.
func upTo(frames []frame.Frame, t int64) int {
	n := 0
	for n < len(frames) && frames[n].T <= t {
		n++
	}
	return n
}
