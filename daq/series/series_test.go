package series

import (
	"encoding/json"
	"math"
	"path/filepath"
	"reflect"
	"testing"
	"time"

	"joulewell/daq/runfile"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/daq/virtual"
	"joulewell/energy"
)

// found is what anybody finds who opens the run of a trial.
func (s *stage) found(run string, r trials.Rule) []trials.Row {
	s.t.Helper()
	file, err := runfile.Open(filepath.Join(s.dir, run+".csv"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer file.Close()
	frames, b, err := rework(file)
	if err != nil {
		s.t.Fatal(err)
	}
	rows, err := split(frames, b, r)
	if err != nil {
		s.t.Fatal(err)
	}
	for i := range rows {
		rows[i].Run = run + ".csv"
	}
	return rows
}

// same reports whether two values say the same in their files.
func same(a, b any) bool {
	x, err := json.Marshal(a)
	y, err2 := json.Marshal(b)
	return err == nil && err2 == nil && string(x) == string(y)
}

// Three releases make three runs; each is kept as whoever opens its file finds it, and
// there again when the program is started anew.
func TestOneTrialAfterAnother(t *testing.T) {
	s := newStage(t, repeating(tamar(), 12))
	rule := trials.Rule{Cycles: 5}
	s.arm(rule, "S-4 short")
	if v := s.View(); !v.Armed || v.State != trials.Waiting || v.Rule != rule || len(v.Trials) != 0 {
		t.Errorf("armed: %+v", v)
	}
	s.play(1400 * time.Millisecond)
	s.await("the bob held", func(v View) bool { return v.State == trials.Held })
	s.play(1200 * time.Millisecond)
	s.await("a trial", func(v View) bool { return v.State == trials.Swinging && v.Recording != "" })
	s.play(33 * time.Second)
	all := s.listed(3)
	for i, x := range all {
		rows := s.found(x.Run, rule)
		k, err := kept.Read(s.Series.dir, x.Run)
		if err != nil || len(k.Trials) != 1 || k.Group != "S-4 short" || !k.Virtual || *k.Rule != rule {
			t.Fatalf("trial %d is kept as %+v: %v", i, k, err)
		}
		if len(rows) != 1 || !same(rows[0], x.Row) || !same(rows[0], k.Trials[0]) {
			t.Errorf("trial %d: the file gives\n%+v\nlisted\n%+v\nkept\n%+v", i, rows, x.Row, k.Trials)
		}
		if r := x.Row; !r.Counts || r.Over != trials.ByCycles || r.Cycles != 5 || r.Start == nil || x.Index != 0 || x.Created.IsZero() {
			t.Errorf("trial %d: %+v", i, x)
		}
		// The hand lets go of it 1.5 s after it holds it, so the file begins with all of the hold.
		if first := s.firstRow(x.Run); x.Row.Release-first < 1.4 || x.Row.Release-first > 3.5 {
			t.Errorf("trial %d: released at %.2f s, the file begins at %.2f s", i, x.Row.Release, first)
		}
	}
	if n := len(s.files("*.csv")); n != 3 {
		t.Errorf("%d runs, want 3", n)
	}
	s.stop()
	again := newStageIn(t, tamar(), s.dir)
	if v := again.View(); !reflect.DeepEqual(asKept(v.Trials), asKept(all)) || v.Armed {
		t.Errorf("after a restart:\n%+v\nwant\n%+v", v.Trials, all)
	}
}

// asKept is what of trials a file can hold.
func asKept(all []Trial) (text []string) {
	for _, t := range all {
		one, _ := json.Marshal(t)
		text = append(text, string(one))
	}
	return text
}

// firstRow is the time [s] of a run's first row.
func (s *stage) firstRow(run string) float64 {
	s.t.Helper()
	file, err := runfile.Open(filepath.Join(s.dir, run+".csv"))
	if err != nil {
		s.t.Fatal(err)
	}
	defer file.Close()
	all, err := trials.ReadAll(file)
	if err != nil {
		s.t.Fatal(err)
	}
	return all[0].Seconds()
}

// Every part of the rule ends a trial, and its run.
func TestRuleEnds(t *testing.T) {
	floor := tamar()
	floor.Faults = injected(t, "floor-hit=0.03")
	treacle := tamar()
	treacle.Losses.Viscous = 0.6
	for _, one := range []struct {
		name   string
		config virtual.Config
		rule   trials.Rule
		length time.Duration
		want   trials.Reason
	}{
		{"cycles", tamar(), trials.Rule{Cycles: 4}, 8 * time.Second, trials.ByCycles},
		{"time", tamar(), trials.Rule{Length: 3}, 8 * time.Second, trials.ByLength},
		{"floor", floor, trials.Rule{Floor: true}, 8 * time.Second, trials.ByFloor},
		{"rest", treacle, trials.Rule{}, 20 * time.Second, trials.ByRest},
		{"in hand", repeating(tamar(), 9), trials.Rule{}, 9500 * time.Millisecond, trials.ByHand},
	} {
		t.Run(one.name, func(t *testing.T) {
			s := newStage(t, one.config)
			s.arm(one.rule, "")
			s.play(one.length)
			all := s.listed(1)
			if r := all[0].Row; r.Over != one.want || !same(r, s.found(all[0].Run, one.rule)[0]) {
				t.Errorf("over by %q, want %q; %+v", r.Over, one.want, r)
			}
			if s.bench.Status().Run.Active {
				t.Error("the run goes on")
			}
		})
	}
}

// A trial that went wrong is kept with its reason and left out of the statistics, until a
// person says otherwise.
func TestBadTrialIsKept(t *testing.T) {
	c := tamar()
	c.Hand.Push = 0.5
	s := newStage(t, c)
	s.arm(five, "")
	s.play(6 * time.Second)
	x := s.listed(1)[0]
	if r := x.Row; r.Counts || len(r.Findings) == 0 || r.Findings[0].Fault != trials.Pushed || r.Overruled {
		t.Fatalf("a trial that was pushed: %+v", r)
	}
	if n := s.Tally(); n["counted"] != 0 || n["left_out"] != 1 {
		t.Errorf("tally %v", n)
	}
	if err := s.Overrule(x.Run, 0, true); err != nil {
		t.Fatal(err)
	}
	if n := s.Tally(); n["counted"] != 1 || n["left_out"] != 0 || !s.View().Trials[0].Row.Overruled {
		t.Errorf("overruled: tally %v", n)
	}
}

// A number that no file can hold spoils its row, not the list.
func TestRowsCanBeWritten(t *testing.T) {
	good := trials.Row{Bench: "Tamar", Counts: true, FirstLoss: &energy.Estimate{Value: 1}}
	if got := holdable(good); !reflect.DeepEqual(got, good) {
		t.Errorf("a good row becomes %+v", got)
	}
	bad := good
	bad.FirstLoss = &energy.Estimate{Value: math.NaN()}
	if got := holdable(bad); got.Counts || got.Bench != "Tamar" || len(got.Findings) != 1 || !same(got, got) {
		t.Errorf("a bad row becomes %+v", got)
	}
}
