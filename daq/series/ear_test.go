package series

import (
	"testing"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/virtual"
)

// A run goes on for a while when its trial is over, by one more turn where turns were
// counted, and not at all where nothing comes any more.
func TestRunsOutlastTheirTrials(t *testing.T) {
	const ms = 1_000_000
	over := func(r trials.Reason) watch {
		return watch{from: 1000 * ms, over: trials.Event{Kind: trials.Over, Seen: 7000 * ms, Reason: r, Cycles: 5}}
	}
	for r, wait := range map[trials.Reason]int64{trials.ByCycles: 900, trials.ByRest: 300, trials.BySilent: 0} {
		w := over(r)
		if w.ends((7000+wait)*ms-1) && wait > 0 || !w.ends((7000+wait)*ms) {
			t.Errorf("over by %q: the run does not end %d ms later", r, wait)
		}
	}
	if going := new(watch); going.ends(1 << 60) {
		t.Error("a trial that is going on ends")
	}
}

// Once the bench goes by another setup, its frames are nothing for the old watcher, even
// before there is another.
func TestDeafAfterCalibration(t *testing.T) {
	was, is := virtual.Setup(tamar()), virtual.Setup(tamar())
	now := &daq.Status{Setup: &was}
	e := ear{status: func() *daq.Status { return now }, events: make(chan event, 1)}
	give := func(b *setup.Bench) {
		w, err := trials.NewWatcher(b, five)
		if err != nil {
			t.Fatal(err)
		}
		e.anew.Store(&watch{setup: b, rule: five, watcher: w})
	}
	hears := func() bool {
		e.hear(daq.Batch{Frames: []frame.Frame{{}}})
		return e.watch != nil
	}
	give(&was)
	if !hears() {
		t.Error("deaf before")
	}
	now = &daq.Status{Setup: &is}
	if hears() {
		t.Error("the old watcher hears frames of another calibration")
	}
	give(&is)
	if !hears() {
		t.Error("deaf afterwards")
	}
}
