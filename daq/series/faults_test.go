package series

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"joulewell/daq/runfile"
	"joulewell/daq/source"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
)

var five = trials.Rule{Cycles: 5}

// A release while a run is recorded by hand: it is said, the run stays the person's, and
// all trials in it are judged when it is stopped.
func TestManualRunIsLeftAlone(t *testing.T) {
	s := newStage(t, repeating(tamar(), 12))
	s.arm(five, "by hand")
	s.play(time.Second)
	run, err := s.bench.StartRun("mine")
	if err != nil {
		t.Fatal(err)
	}
	s.play(4 * time.Second)
	if v := s.View(); !strings.Contains(v.Trouble, run.Name) || v.Recording != "" {
		t.Errorf("while a run is recorded by hand: %+v", v)
	}
	s.play(13 * time.Second)
	if now := s.bench.Status().Run; !now.Active || now.Name != run.Name || len(s.View().Trials) > 0 {
		t.Errorf("the manual run was touched: %+v", now)
	}
	if _, err := s.bench.StopRun(); err != nil {
		t.Fatal(err)
	}
	all := s.listed(2)
	rows := s.found(run.Name, five)
	for i, x := range all {
		if x.Run != run.Name || x.Index != i || x.Group != "by hand" || !same(x.Row, rows[i]) {
			t.Errorf("trial %d: %+v, want %+v", i, x, rows[i])
		}
	}
	if v := s.View(); v.Trouble != "" {
		t.Errorf("afterwards: %q", v.Trouble)
	}
	s.play(12 * time.Second) // and on it goes
	if all := s.listed(3); all[2].Run == run.Name {
		t.Errorf("the trial after the manual run: %+v", all[2])
	}
}

// Somebody stops the run of a trial by hand: what is there is judged.
func TestStoppedByHand(t *testing.T) {
	s := newStage(t, tamar())
	s.arm(trials.Rule{}, "")
	s.play(6 * time.Second)
	if _, err := s.bench.StopRun(); err != nil {
		t.Fatal(err)
	}
	if r := s.listed(1)[0].Row; r.Over != "" || r.Cycles < 3 || !r.Counts {
		t.Errorf("%+v", r)
	}
}

// Disarmed in the middle of a trial, the bench stops recording and what is there is judged;
// later releases are nobody's business.
func TestDisarmed(t *testing.T) {
	s := newStage(t, repeating(tamar(), 9))
	s.arm(trials.Rule{}, "")
	s.play(5 * time.Second)
	s.Disarm()
	if r := s.listed(1)[0].Row; r.Cycles < 3 {
		t.Errorf("%+v", r)
	}
	s.play(8 * time.Second)
	if v := s.View(); v.Armed || v.State != trials.Waiting || v.Recording != "" || len(s.files("*.csv")) != 1 {
		t.Errorf("disarmed: %+v", v)
	}
}

// The device goes away in the middle of a trial: the trial ends, is judged by what there
// is, and the next one is seen when the device is back.
func TestDeviceLost(t *testing.T) {
	s := newStage(t, repeating(tamar(), 12))
	s.arm(five, "")
	s.play(3 * time.Second)
	s.send(func(emit func(source.Event) bool) {
		s.clock.Add(int64(time.Second))
		emit(source.Event{Kind: source.Lost, At: time.Duration(s.clock.Load()), Err: errors.New("unplugged")})
	})
	if r := s.listed(1)[0].Row; r.Over != trials.BySilent || r.Counts {
		t.Errorf("cut short: %+v", r)
	}
	if v := s.View(); v.State != trials.Waiting {
		t.Errorf("without a device: %+v", v)
	}
	s.device.Restart()
	s.send(func(emit func(source.Event) bool) {
		emit(source.Event{Kind: source.Opened, At: time.Duration(s.clock.Load()), Name: "virtual"})
	})
	s.play(17 * time.Second)
	if all := s.listed(2); !all[1].Row.Counts || all[1].Row.Over != trials.ByCycles {
		t.Errorf("afterwards: %+v", all[1].Row)
	}
}

// A calibration adopted between two trials holds for the next one.
func TestAdoptedBetweenTrials(t *testing.T) {
	s := newStage(t, repeating(tamar(), 12))
	s.arm(five, "")
	s.play(6 * time.Second)
	was := s.listed(1)[0].Row
	anew := s.setup
	anew.Apparatus.Support.Value += 0.1
	anew.Calibration.Distance.Offset.Value += 0.1
	if err := s.bench.Adopt(&anew); err != nil {
		t.Fatal(err)
	}
	s.play(100 * time.Millisecond)
	s.play(12 * time.Second)
	is := s.listed(2)[1].Row
	if !is.Counts || is.Start == nil || is.Start.Height.Value-was.Start.Height.Value < 0.09 {
		t.Errorf("the second trial starts at %+v, the first at %+v: want a tenth of a metre more", is.Start, was.Start)
	}
}

// The program ends in the middle of a trial, in order or not: at the next start the trial
// is judged by what is there.
func TestEndedInATrial(t *testing.T) {
	for _, one := range []struct {
		name string
		cut  func(s *stage, run string)
	}{
		{"in order", func(*stage, string) {}},
		{"killed", func(s *stage, run string) { // what a kill leaves behind
			name := filepath.Join(s.dir, run+".csv")
			if err := os.Rename(name, name+".part"); err != nil {
				s.t.Fatal(err)
			}
		}},
		{"killed, and the run removed", func(s *stage, run string) {
			for _, f := range s.files(run + "*") {
				os.Remove(f)
			}
		}},
	} {
		t.Run(one.name, func(t *testing.T) {
			s := newStage(t, tamar())
			s.arm(trials.Rule{}, "G")
			s.play(6 * time.Second)
			run := s.View().Recording
			s.stop()
			if run == "" || len(s.files("*.trials.json")) > 0 {
				t.Fatalf("run %q, kept %q", run, s.files("*.trials.json"))
			}
			one.cut(s, run)
			again := newStageIn(t, tamar(), s.dir)
			again.await("nothing left to judge", func(View) bool { return again.left() == 0 })
			all := again.View().Trials
			if strings.Contains(one.name, "removed") {
				if len(all) != 0 {
					t.Errorf("%+v", all)
				}
				return
			}
			if len(all) != 1 || all[0].Run != run || all[0].Group != "G" || all[0].Row.Cycles < 3 {
				t.Errorf("%+v", all)
			}
			if _, err := kept.Read(again.Series.dir, run); err != nil {
				t.Error(err)
			}
		})
	}
}

// left is how many runs are still to be judged.
func (s *Series) left() int {
	s.mu.Lock()
	defer s.mu.Unlock()
	return len(s.memory.Unjudged)
}

// The disk does not take what is to be kept: it is said, kept in memory, and written when
// there is room again.
func TestKeptWhenThereIsRoom(t *testing.T) {
	s := newStage(t, repeating(tamar(), 12))
	s.arm(five, "")
	s.play(3 * time.Second)
	run := s.View().Recording
	block := filepath.Join(s.dir, run+".trials.json.tmp")
	if err := os.MkdirAll(filepath.Join(block, "no room"), 0o755); err != nil {
		t.Fatal(err)
	}
	s.play(3 * time.Second)
	s.listed(1)
	s.await("trouble", func(v View) bool { return strings.Contains(v.Trouble, "stays in memory") })
	if err := s.Overrule(run, 0, false); err != nil { // by a person who does not care
		t.Fatal(err)
	}
	revision := s.View().Revision
	if err := os.Rename(block, filepath.Join(t.TempDir(), "away")); err != nil { // at once: half removed it would be no block
		t.Fatal(err)
	}
	v := s.await("no trouble", func(v View) bool { return v.Trouble == "" })
	k, err := kept.Read(s.Series.dir, run)
	if err != nil || len(k.Trials) != 1 || k.Trials[0].Counts || !k.Trials[0].Overruled || v.Revision == revision {
		t.Errorf("kept %+v, %v; revision %d then %d", k, err, revision, v.Revision)
	}
}

// No room to begin a run: it is said at once, and the next release is recorded when there
// is room.
func TestNoRoomForARun(t *testing.T) {
	s := newStage(t, repeating(tamar(), 12))
	s.disk.start.Store(&runfile.ErrNoRoom)
	s.arm(five, "")
	s.play(6 * time.Second)
	v := s.await("trouble", func(v View) bool { return strings.Contains(v.Trouble, "was not recorded: too little free space") })
	if len(v.Trials) > 0 || v.Recording != "" {
		t.Errorf("without room: %+v", v)
	}
	s.disk.start.Store(nil)
	s.play(12 * time.Second)
	s.listed(1)
	s.await("no trouble", func(v View) bool { return v.Trouble == "" })
}

// The disk is full in the middle of a trial: it is said while the trial goes on.
func TestDiskFullInATrial(t *testing.T) {
	s := newStage(t, repeating(tamar(), 12))
	s.arm(five, "")
	s.play(3 * time.Second)
	was := s.await("a trial", func(v View) bool { return v.Recording != "" && v.Trouble == "" })
	text := "disk full: rows wait in memory: free space, the run goes on when there is room"
	s.disk.trouble.Store(&text)
	v := s.await("trouble", func(v View) bool { return v.Trouble == text })
	if v.Revision == was.Revision || v.Recording != was.Recording {
		t.Errorf("while the disk is full: %+v", v)
	}
	s.disk.trouble.Store(nil)
	s.play(3 * time.Second)
	if r := s.listed(1)[0].Row; !r.Counts || r.Over != trials.ByCycles {
		t.Errorf("afterwards: %+v", r)
	}
	s.await("no trouble", func(v View) bool { return v.Trouble == "" })
}

// A run that could not be closed in order is still a .part: when there is room again it is
// repaired and judged, without a start of the program.
func TestUnclosedRunIsRepaired(t *testing.T) {
	s := newStage(t, tamar())
	s.arm(five, "")
	full := errors.New("close the run: disk full")
	s.disk.stop.Store(&full)
	s.play(3 * time.Second)
	run := s.View().Recording
	file := filepath.Join(s.dir, run+".csv")
	s.Series.mu.Lock() // so that nothing is judged before it is a .part again
	s.after[run] = 1 << 30
	s.Series.mu.Unlock()
	s.play(3 * time.Second)
	s.await("trouble", func(v View) bool { return strings.Contains(v.Trouble, "disk full") })
	if err := os.Rename(file, file+".part"); err != nil {
		t.Fatal(err)
	}
	s.Series.mu.Lock()
	delete(s.after, run)
	s.Series.mu.Unlock()
	if r := s.listed(1)[0].Row; r.Over != trials.ByCycles || !s.exists(run+".csv") {
		t.Errorf("%+v", r)
	}
}
