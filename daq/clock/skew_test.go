package clock

import (
	"fmt"
	"math"
	"testing"
)

// ppms are rate errors of boards: two with ceramic resonators and one with a quartz,
// from published measurements (from memory), and none.
var ppms = []float64{-3283, 1258, 40, 0}

func TestSkewAfterAMinute(t *testing.T) {
	for _, c := range []struct {
		name   string
		link   link
		within float64 // [ppm]
		u      float64 // [ppm] at most, where the lag slips
	}{
		{"1 ms jitter", smooth(1e6), 1, 0.5},
		{"1 ms frames", held(1e6, 0.1e6), 2, 1},
		{"16 ms batches", held(16e6, 0.3e6), 8, 5},
	} {
		for _, ppm := range ppms {
			worst, widest := 0.0, 0.0
			for seed := range uint64(8) {
				s := newSim(seed, ppm, loosely(10e6), c.link)
				s.bursts = 0.2
				a := New(Options{})
				s.run(a, 60)
				got, u, known := a.Skew()
				if !known {
					t.Fatalf("%s, %v ppm, seed %d: not known after 60 s", c.name, ppm, seed)
				}
				worst = max(worst, math.Abs(got-ppm))
				widest = max(widest, u)
			}
			t.Logf("%s, %v ppm: within %.2f ppm, u up to %.2f ppm", c.name, ppm, worst, widest)
			if widest < 0.3 || widest > c.u && ppm != 0 {
				t.Errorf("%s, %v ppm: u up to %.2f ppm, want 0.3 to %v", c.name, ppm, widest, c.u)
			}
			if worst > c.within {
				t.Errorf("%s, %v ppm: off by %.2f ppm, want within %v", c.name, ppm, worst, c.within)
			}
		}
	}
}

// The stated uncertainty must hold: two of it cover 95 % of cases. Links, schedules,
// lengths and rate errors are drawn at random; readings in step with a link's grid
// are the hard ones, and counted by themselves too.
func TestSkewCoverage(t *testing.T) {
	const cases = 480
	links := []link{smooth(0.3e6), smooth(3e6), held(1e6, 0.1e6), held(16e6, 0.3e6)}
	outside, known := map[string]int{}, map[string]int{}
	far := 0
	for seed := range uint64(cases) {
		s := newSim(seed, 0, nil, links[seed%4])
		s.ppm = 10000*s.r.Float64() - 5000
		if s.r.IntN(2) == 0 {
			s.ppm /= 50 // a quartz
		}
		period := []float64{5e6, 10e6, 12.5e6, 20e6, 40e6, 100e6}[s.r.IntN(6)]
		kind := s.r.IntN(3)
		s.schedule = []schedule{exactly(period), loosely(period), atRandom(period)}[kind]
		s.bursts = 0.4 * s.r.Float64()
		a := New(Options{})
		s.run(a, 12+120*s.r.Float64())
		ppm, u, ok := a.Skew()
		if !ok {
			continue
		}
		for _, group := range []string{"all", fmt.Sprintf("link %d", seed%4), fmt.Sprintf("schedule %d", kind)} {
			known[group]++
			if math.Abs(ppm-s.ppm) > 2*u {
				outside[group]++
			}
		}
		if seed%4 == 3 && math.Abs(ppm-s.ppm) > u/2 {
			far++
		}
	}
	if known["all"] < cases*8/10 {
		t.Errorf("known in %d of %d cases only", known["all"], cases)
	}
	// And it is not just wide: on the worst link deviations are of its size.
	if n := known["link 3"]; far < n/4 {
		t.Errorf("link 3: only %d of %d beyond u/2", far, n)
	}
	for group, n := range known {
		share := 1 - float64(outside[group])/float64(n)
		t.Logf("%s: %d of %d within 2u: %.1f %%", group, n-outside[group], n, 100*share)
		if share < 0.93 {
			t.Errorf("%s: only %.1f %% within 2u", group, 100*share)
		}
	}
}

// The hardest case: readings in step with the link's grid, whose lag slips through
// between none and three of the gaps between their phases.
func TestSkewCoverageInStep(t *testing.T) {
	const cases, seconds = 300, 60
	inside := 0
	for seed := range uint64(cases) {
		s := newSim(seed, 0, nil, held(16e6, 0.05e6))
		i := s.r.IntN(3)
		s.schedule = exactly([]float64{10e6, 20e6, 40e6}[i])
		gap := []float64{2e6, 4e6, 8e6}[i]
		s.ppm = 1e6 * (6*s.r.Float64() - 3) * gap / (seconds * 1e9)
		a := New(Options{})
		s.run(a, seconds)
		if ppm, u, known := a.Skew(); known && math.Abs(ppm-s.ppm) <= 2*u {
			inside++
		}
	}
	t.Logf("%d of %d within 2u", inside, cases)
	if inside < cases*93/100 {
		t.Errorf("only %d of %d within 2u", inside, cases)
	}
}

// The uncertainty must also be of use: small where the link shows the clock well,
// and not smaller than what cannot be seen.
func TestSkewUncertaintyTellsLinksApart(t *testing.T) {
	u := func(s schedule, l link) float64 {
		sim := newSim(3, 4, s, l)
		a := New(Options{})
		sim.run(a, 130)
		_, u, known := a.Skew()
		if !known {
			t.Fatal("not known after 130 s")
		}
		return u
	}
	for _, c := range []struct {
		name      string
		got       float64
		low, high float64 // [ppm]
	}{
		{"smooth link", u(loosely(12.5e6), smooth(0.3e6)), 0.3, 2},
		{"16 ms batches, loose readings", u(loosely(12.5e6), held(16e6, 0.3e6)), 0.5, 6},
		// 4 ms between phases over 128 s, with a quarter more, rectangular: 22 ppm.
		{"16 ms batches, in step", u(exactly(20e6), held(16e6, 0.01e6)), 20, 25},
		// Two phases 8 ms apart but equal delays: no grid but perhaps one of 1 ms.
		{"two phases, no batches", u(exactly(40e6), smooth(0.01e6)), 5, 6.5},
		// Always the same phase: 16 ms, though none of it shows.
		{"one phase only", u(exactly(80e6), smooth(0.01e6)), 80, 100},
	} {
		t.Logf("%s: u = %.2f ppm", c.name, c.got)
		if c.got < c.low || c.got > c.high {
			t.Errorf("%s: u = %.2f ppm, want %v to %v", c.name, c.got, c.low, c.high)
		}
	}
}

func TestSkewUnknown(t *testing.T) {
	a := New(Options{InitialPPM: -2000})
	if ppm, u, known := a.Skew(); known || math.Abs(ppm+2000) > 1e-6 || math.Abs(u-maxPPM/math.Sqrt(3)) > 1e-9 || a.Span() != 0 {
		t.Errorf("at first: %v, %v, %t over %v s", ppm, u, known, a.Span())
	}
	s := newSim(1, -2000, loosely(10e6), smooth(1e6))
	t0, us0 := place(t, a, s), s.us
	s.run(a, knownSpan/2)
	if _, _, known := a.Skew(); known {
		t.Errorf("known after %v s", knownSpan/2)
	}
	t1 := place(t, a, s)
	if want := float64(s.us-us0) * 1000 / (1 - 2000e-6); math.Abs(float64(t1-t0)-want) > 1 {
		t.Errorf("%d ns passed at the initial rate, want %.0f", t1-t0, want)
	}
	if s.run(a, 120); !a.known {
		t.Error("not known after 2 min")
	}
	if a.Open(s.arrival); a.known || a.Span() != 0 || math.Abs(a.ppm+2000) > 1e-6 {
		t.Errorf("after Open: %v ppm, known %t", a.ppm, a.known)
	}
}

// Always the same phase of a 16 ms grid: that must not be believed too soon.
func TestSkewUncertainForLong(t *testing.T) {
	s := newSim(1, 40, exactly(80e6), smooth(0.01e6))
	a := New(Options{})
	if s.run(a, 2*knownSpan); a.known {
		t.Errorf("known with u = %v ppm", a.u)
	}
	if s.run(a, 30); !a.known {
		t.Error("not known later either")
	}
}

// A clock beyond belief is not believed.
func TestSkewBeyondBelief(t *testing.T) {
	s := newSim(1, 7000, loosely(10e6), smooth(1e6))
	a := New(Options{})
	if n := s.run(a, 120); n[Late]+n[Restarted] > 0 {
		t.Errorf("verdicts %v", n)
	}
	if ppm, _, known := a.Skew(); known {
		t.Errorf("%v ppm is believed", ppm)
	}
}
