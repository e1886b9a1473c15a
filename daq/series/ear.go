package series

import (
	"sync/atomic"

	"joulewell/daq"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
)

// event is what the ear tells, with the watch that saw it.
type event struct {
	trials.Event
	by *watch
}

// watch is a watcher and what it watches.
type watch struct {
	setup   *setup.Bench
	rule    trials.Rule
	watcher *trials.Watcher
	from    int64        // [ns] the last release
	over    trials.Event // that is not told yet
}

// afterwards is how long [ns] a run goes on at least when its trial is over: what the live
// watcher saw at an instant, one that begins with the file may see a few samples later.
const afterwards = 300_000_000

// ends reports whether the run of a trial that is over may end at the instant t [ns]. One
// that was over by its cycles goes on for one more turn, by which the two may differ.
func (w *watch) ends(t int64) bool {
	o := &w.over
	if o.Kind != trials.Over || o.Reason == trials.BySilent {
		return o.Kind == trials.Over
	}
	wait := int64(afterwards)
	if o.Reason == trials.ByCycles {
		wait += (o.Seen - w.from) / int64(2*o.Cycles)
	}
	return t-o.Seen >= wait
}

// ear watches the frames on the bench's goroutine. It never waits, and allocates nothing
// but when the state changes.
type ear struct {
	status func() *daq.Status
	events chan event
	anew   atomic.Pointer[watch] // for the next batch; an empty one ends the watch
	state  atomic.Pointer[trials.State]

	watch *watch // of the bench's goroutine
	was   trials.State
}

// hear is a [daq.Listener].
func (e *ear) hear(b daq.Batch) {
	if e.anew.Load() != nil {
		e.watch = e.anew.Swap(nil)
		e.say(trials.Waiting)
	}
	w := e.watch
	if w == nil || w.watcher == nil {
		return
	}
	if e.status().Setup != w.setup { // calibrated anew: another watcher will come
		e.watch = nil
		e.say(trials.Waiting)
		return
	}
	for i := range b.Frames {
		f := &b.Frames[i]
		switch found := w.watcher.Feed(f); found.Kind {
		case trials.Released:
			w.from = found.T
			e.tell(event{found, w})
		case trials.Over:
			w.over = found
		}
		if w.ends(f.T) {
			e.tell(event{w.over, w})
			w.over = trials.Event{}
		}
	}
	e.say(w.watcher.State())
}

func (e *ear) say(s trials.State) {
	if s == e.was {
		return
	}
	e.was = s
	now := s
	e.state.Store(&now)
}

// tell leaves out what finds no room, which takes dozens of trials in the time in which
// one run is closed.
func (e *ear) tell(x event) {
	select {
	case e.events <- x:
	default:
	}
}
