package daq

import (
	"path/filepath"
	"testing"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
)

// The host's clock of day is set by hours, between runs and in the middle of them: runs
// are dated by it and keep apart, and nothing else takes notice.
func TestClockOfDayIsSet(t *testing.T) {
	evening := time.Date(2026, 11, 27, 19, 30, 0, 0, time.UTC)
	today := evening
	s := newStage(t, func(o *Options) { o.Now = func() time.Time { return today } })
	s.open()
	s.play(4)
	begun := map[string]time.Time{}
	for _, set := range []struct{ before, during time.Duration }{
		{0, 5 * time.Hour}, {5 * time.Hour, -9 * time.Hour}, {-7 * 24 * time.Hour, 3 * time.Hour}, {0, -time.Hour}, {0, 0},
	} {
		today = evening.Add(set.before)
		run, err := s.StartRun("")
		if err != nil {
			t.Fatal(err)
		}
		begun[run.Name] = today
		s.play(1)
		today = today.Add(set.during)
		s.play(1)
		if run, err = s.StopRun(); err != nil || run.Length < 1990*time.Millisecond || run.Length > 2040*time.Millisecond || run.Lost > 0 {
			t.Errorf("run %+v, %v", run, err)
		}
	}
	if st := s.Status(); st.Link != Live || !st.Fresh || st.Epoch != 1 || st.Misplaced != 0 || st.ClockKnown && (st.ClockPPM > 1 || st.ClockPPM < -1) {
		t.Errorf("status %+v", st)
	}
	runs, err := s.Runs()
	if err != nil || len(runs) != 5 || len(begun) != 5 {
		t.Fatalf("%d runs begun, %d there, %v", len(begun), len(runs), err)
	}
	for i, r := range runs {
		if i > 0 && r.Created.After(runs[i-1].Created) {
			t.Errorf("%s is listed after %s, which is older", r.Name, runs[i-1].Name)
		}
		if !r.Created.Equal(begun[r.Name]) || !r.Complete {
			t.Errorf("run %s of %v, complete %t: was begun at %v", r.Name, r.Created, r.Complete, begun[r.Name])
		}
		run, err := runfile.Open(filepath.Join(s.opt.Dir, r.File))
		if err != nil {
			t.Fatal(err)
		}
		last := time.Duration(0)
		c, err := Compare(run, run.Meta(), func(f *frame.Frame) {
			now := time.Duration(f.T)
			if step := (now - last).Round(time.Millisecond); last != 0 && step != 10*time.Millisecond {
				t.Errorf("%s: a step of %v at %v", r.Name, step, now)
			}
			last = now
		})
		if err != nil || c.Differing > 0 || c.Rows != 401 {
			t.Errorf("%s: %+v, %v", r.Name, c, err)
		}
		run.Close()
	}
}
