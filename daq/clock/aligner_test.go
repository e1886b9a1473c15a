package clock

import (
	"math"
	"math/rand/v2"
	"testing"

	"pgregory.net/rapid"
)

// place takes the simulation's next reading and demands that it is placed.
func place(t *testing.T, a *Aligner, s *sim) int64 {
	t.Helper()
	s.next()
	at, v := a.Place(uint32(s.us), s.arrival)
	if v != Placed {
		t.Fatalf("reading at %d us, arrived %d ns: verdict %d, want it placed", s.us, s.arrival, v)
	}
	return at
}

// Times must follow the true instants: within the link's delays, and in the long run
// at the true rate.
func TestTimesFollowTheDevice(t *testing.T) {
	for _, ppm := range append([]float64{-5000, 5000}, ppms...) {
		s := newSim(5, ppm, loosely(12.5e6), held(16e6, 0.3e6))
		s.bursts = 0.2
		a := New(Options{})
		first := place(t, a, s)
		began := first - int64(s.host)
		s.run(a, 1200)
		late := func() float64 { return float64(place(t, a, s)) - s.host }
		offset := late()
		// Transmission takes 3 ms, the quickest lines little more.
		if offset < 2.5e6 || offset > 4.5e6 {
			t.Errorf("%v ppm: times trail the instants by %.3f ms after 20 min, want about 3 (at first %.3f)",
				ppm, offset/1e6, float64(began)/1e6)
		}
		s.run(a, 600)
		drift := (late() - offset) / 600e9 * 1e6
		t.Logf("%v ppm: offset %.2f ms, then %.2f ppm in 10 min", ppm, offset/1e6, drift)
		if math.Abs(drift) > 2 {
			t.Errorf("%v ppm: times run off by %.2f ppm, want at most 2", ppm, drift)
		}
	}
}

// Nothing that the host or the link does may show in the differences of times: they
// are device time at a rate that changes slowly.
func TestTimesAreSmooth(t *testing.T) {
	for _, ppm := range ppms {
		s := newSim(9, ppm, atRandom(5e6), held(16e6, 1e6))
		s.bursts = 1
		a := New(Options{})
		at, us := place(t, a, s), s.us
		rate := 0.0
		for range 2000 { // pieces of 0.1 s and more, over which rounding is nothing
			s.run(a, 0.1)
			now := place(t, a, s)
			passed := float64(s.us-us) * 1000
			got := float64(now-at)/passed - 1
			if math.Abs(got-rate) > rateChange+2*maxSlew+1e-7 {
				t.Fatalf("%v ppm: rate goes from %.1f to %.1f ppm within %.1f s", ppm, 1e6*rate, 1e6*got, passed/1e9)
			}
			at, us, rate = now, s.us, got
		}
		if math.Abs(ppmOf(rate)-ppm) > maxSlew*1e6+10 {
			t.Errorf("%v ppm: %.1f ppm in the end", ppm, ppmOf(rate))
		}
	}
}

func TestLateFirstLine(t *testing.T) {
	s := newSim(2, 40, exactly(10e6), smooth(0.1e6))
	a := New(Options{})
	s.busy = s.host + 500e6 // a burst to begin with
	place(t, a, s)
	s.run(a, 2)
	if got := a.Offset(); got > -450e6 || got < -500e6 {
		t.Errorf("after 2 s times trail the envelope by %d ns, want about -490 ms", got)
	}
	if n := s.run(a, 98); n[Late]+n[Restarted] > 0 {
		t.Fatalf("verdicts %v", n)
	}
	before := a.Offset()
	if before > -450e6 || before < -500e6 {
		t.Errorf("times trail the envelope by %d ns, want about -490 ms", before)
	}
	s.run(a, 100)
	if got := float64(a.Offset()-before) / 100e9; math.Abs(got-maxSlew) > maxSlew/20 {
		t.Errorf("worked off at %.1f ppm, want %.0f", 1e6*got, 1e6*maxSlew)
	}
}

func TestOpen(t *testing.T) {
	s := newSim(4, 1258, exactly(10e6), smooth(1e6))
	a := New(Options{})
	a.Open(s.arrival)
	s.run(a, 30)
	newest := a.newestT
	s.us = 17 // the board restarts
	at := s.arrival + 2e9
	s.host += 3e9
	a.Open(at)
	if first := place(t, a, s); first != s.arrival {
		t.Errorf("first reading is placed at %d, want its arrival %d", first, s.arrival)
	}
	// A clock that was ahead, and a caller that reports late: never back in time.
	a = New(Options{})
	a.Open(0)
	a.Place(1000, 5000)
	a.Place(1_001_000, 6000)
	a.Open(7000)
	if got, _ := a.Place(0, 8000); got != 1_000_005_001 {
		t.Errorf("first reading after opening at %d, want just after the last, 1000005001", got)
	}
	if a.Offset() != 8000-1_000_005_001 {
		t.Errorf("it trails its arrival by %d ns", a.Offset())
	}
	a.Open(newest + 5)
	if got, _ := a.Place(0, newest); got != newest+5 {
		t.Errorf("first reading at %d, before the opening at %d", got, newest+5)
	}
}

func TestNanosecondsStayExact(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 0))
	for range 2000 {
		// At a rate of whole parts in 10^6, whole milliseconds give whole nanoseconds.
		ppm := r.Int64N(12_001) - 6000
		us, at := r.Int64N(wrap), r.Int64N(1<<60)
		passed := (1 + r.Int64N(30*86400)) * 1e6 // up to 30 days, in us
		l := start(us, at, float64(ppm)*1e-6)
		bends := r.Int64N(1000)
		for i := range bends {
			l.bend(us+passed*(i+1)/(bends+1), l.rate) // to the same rate: must change nothing
		}
		want := at + passed*1000 + passed/1000*ppm
		if got := l.at(us + passed); got < want-1 || got > want+1 {
			t.Fatalf("%d ppm, %d us later, %d bends: off by %d ns", ppm, passed, bends, got-want)
		}
		if got := l.device(want) - (us + passed); got < -2 || got > 2 {
			t.Fatalf("%d ppm, %d us later: device time is off by %d us", ppm, passed, got)
		}
		here := us + passed + r.Int64N(1e6)
		before := l.at(here)
		if l.bend(here, 0); l.t != before {
			t.Fatalf("%d ppm: %d before a bend, %d after it", ppm, before, l.t)
		}
	}
}

// Whatever arrives, times given out increase with the device's, and a refused reading changes nothing
// but the count of strays.
func TestTimesIncrease(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := New(Options{InitialPPM: rapid.Float64Range(-6000, 6000).Draw(t, "initial")})
		newest := int64(math.MinInt64)
		us, arrival := rapid.Uint32().Draw(t, "us"), int64(0)
		var placed uint32
		for range rapid.IntRange(20, 60).Draw(t, "blocks") {
			step := rapid.OneOf(rapid.Uint32Range(0, 100_000), rapid.Uint32()).Draw(t, "step")
			pause := rapid.OneOf(rapid.Int64Range(0, 1e8), rapid.Int64Range(0, 1e14)).Draw(t, "pause")
			if rapid.IntRange(0, 20).Draw(t, "open") == 0 {
				a.Open(arrival)
			}
			for range rapid.IntRange(1, 60).Draw(t, "readings") {
				us += step
				arrival += pause
				before := *a
				got, v := a.Place(us, arrival)
				if v == Late {
					before.strays, before.line = a.strays, a.line
					if before != *a {
						t.Fatalf("a refused reading changed the state")
					}
					continue
				}
				if got < newest || got == newest && us != placed {
					t.Fatalf("time %d after %d", got, newest)
				}
				newest, placed = got, us
			}
		}
	})
}

func TestNothingAllocates(t *testing.T) {
	next := recorded(10e6).replay()
	a := New(Options{})
	if n := testing.AllocsPerRun(20_000, func() { a.Place(next()) }); n != 0 {
		t.Errorf("%v allocations a reading", n)
	}
	if n := testing.AllocsPerRun(100, func() { a.Open(0) }); n != 0 {
		t.Errorf("%v allocations an opening", n)
	}
}
