package trials_test

import (
	"os"
	"strconv"
	"testing"

	"joulewell/daq/frame"
	"joulewell/daq/trials"
	"joulewell/daq/virtual"
)

// many is how many sessions a test plays: few, or as many as the environment asks for.
func many(few int) uint64 {
	if n, err := strconv.ParseUint(os.Getenv("JOULEWELL_BENCHES"), 10, 64); err == nil {
		return n
	}
	if testing.Short() {
		few = (few + 2) / 3
	}
	return uint64(few)
}

// A person's word stands above the findings, and is marked as such.
func TestOverrule(t *testing.T) {
	var r trials.Row
	r.Findings = []trials.Finding{{Fault: trials.Pushed, Voids: true}}
	r.Overrule(true)
	if !r.Counts || !r.Overruled {
		t.Errorf("overruled: %+v", r)
	}
	r.Overrule(false)
	if r.Counts || r.Overruled {
		t.Errorf("agreed: %+v", r)
	}
}

// BenchmarkFeed is what the recognition costs a reading; the floor is a copy of the frame.
func BenchmarkFeed(b *testing.B) {
	c := virtual.Default()
	c.Spring.Coils = coils
	known := virtual.Setup(c)
	s := session{t: b, rule: trials.Rule{Cycles: 6}}
	s.adopt(&known)
	s.play(c, 30)
	frames := s.frames
	b.Run("feed", func(b *testing.B) {
		w, err := trials.NewWatcher(&known, trials.Rule{Cycles: 6})
		if err != nil {
			b.Fatal(err)
		}
		b.ReportAllocs()
		i, lap := 0, int64(0)
		for b.Loop() {
			f := frames[i]
			f.T += lap
			w.Feed(&f)
			if i++; i == len(frames) {
				i, lap = 0, lap+frames[len(frames)-1].T+1e7
			}
		}
	})
	b.Run("floor", func(b *testing.B) {
		i := 0
		var f frame.Frame
		for b.Loop() {
			f = frames[i]
			f.T++
			if i++; i == len(frames) {
				i = 0
			}
		}
		_ = f
	})
}
