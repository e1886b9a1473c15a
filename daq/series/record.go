package series

import (
	"errors"
	"fmt"

	"joulewell/daq"
	"joulewell/daq/trials"
)

// recorded is a run that is to be judged once it is finished.
type recorded struct {
	Run     string        `json:"run"` // its name, without extension
	Group   string        `json:"group"`
	Rule    trials.Rule   `json:"rule"`
	Own     bool          `json:"own"`       // begun by a release, for one trial; else by hand
	Release float64       `json:"release_s"` // [s] Own: on the run's time base
	Over    trials.Reason `json:"over"`      // Own: as seen live
}

// hold is how much [ns] of the hold before a release its run begins with at least.
const hold = 2_500_000_000

// take does what an event of the ear asks for.
func (s *Series) take(e event) {
	if e.by != s.watch {
		return
	}
	switch e.Kind {
	case trials.Released:
		s.begin(e)
	case trials.Over:
		s.end(e.Reason)
	}
}

// begin records the trial that begins with a release.
func (s *Series) begin(e event) {
	s.mu.Lock()
	group, going := s.group, s.now != nil
	s.mu.Unlock()
	if going {
		return
	}
	note := "trial"
	if group != "" {
		note += ", " + group
	}
	run, err := s.opt.Bench.StartRunFrom(note, e.T-hold)
	s.mu.Lock()
	defer s.mu.Unlock()
	defer s.changed()
	r := recorded{Run: run.Name, Group: group, Rule: e.by.rule, Own: true, Release: float64(e.T-run.Zero) * 1e-9}
	switch {
	case errors.Is(err, daq.ErrRecording):
		r = recorded{Run: s.opt.Bench.Status().Run.Name, Group: group, Rule: e.by.rule}
		s.troubles.start = fmt.Sprintf("run %s is being recorded by hand: the trials in it are judged when it is stopped", r.Run)
	case err != nil:
		s.opt.Log.Warn("a trial could not be recorded", "cause", err)
		s.troubles.start = fmt.Sprintf("the last release was not recorded: %v", err)
		return
	default:
		s.troubles.start, s.troubles.end = "", ""
		s.now = &r
	}
	s.judgeLater(r)
}

// end ends the run of the trial that is going on, if any.
func (s *Series) end(why trials.Reason) {
	s.mu.Lock()
	now := s.now
	s.mu.Unlock()
	if now == nil {
		return
	}
	var err error
	if run := s.opt.Bench.Status().Run; run.Active && run.Name == now.Run { // nobody has stopped it by hand
		_, err = s.opt.Bench.StopRun()
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	defer s.changed()
	if err != nil && !errors.Is(err, daq.ErrNotRecording) && !errors.Is(err, daq.ErrStopped) {
		s.opt.Log.Warn("the run of a trial could not be closed in order", "run", now.Run, "cause", err)
		s.troubles.end = err.Error()
	}
	s.now = nil
	for i := range s.memory.Unjudged {
		if u := &s.memory.Unjudged[i]; u.Run == now.Run {
			u.Over = why
		}
	}
}

// tend looks after what no event tells.
func (s *Series) tend() {
	st := s.opt.Bench.Status()
	s.mu.Lock()
	armed, rule, now := s.armed, s.rule, s.now
	s.mu.Unlock()
	if st.Fresh {
		s.fresh = s.beat
	}
	switch {
	case now == nil:
	case !st.Run.Active || st.Run.Name != now.Run || !armed:
		s.end("")
	case s.beat-s.fresh >= 2: // once may be the program's own standing still
		s.end(trials.BySilent)
	}
	s.listen(st, armed, rule)
	s.judgeNext(st)
	s.mend()
	s.mu.Lock()
	defer s.mu.Unlock()
	if told := s.trouble(st); told != s.told {
		s.told = told
		s.changed()
	}
}

// listen gives the ear the watcher that is wanted now. A trial that is going on is watched
// to its end by the rule it began with.
func (s *Series) listen(st *daq.Status, armed bool, rule trials.Rule) {
	s.mu.Lock()
	going := s.now != nil
	s.mu.Unlock()
	if going {
		return
	}
	var w *watch
	if armed {
		if s.watch != nil && s.watch.rule == rule && s.watch.setup == st.Setup {
			return
		}
		watcher, err := trials.NewWatcher(st.Setup, rule)
		if err != nil { // the bench itself has accepted this setup, and Arm the rule
			s.opt.Log.Error("watch for releases", "cause", err)
			return
		}
		w = &watch{setup: st.Setup, rule: rule, watcher: watcher}
	} else if s.watch == nil {
		return
	}
	s.watch = w
	if w == nil {
		w = &watch{}
	}
	s.ear.anew.Store(w)
}
