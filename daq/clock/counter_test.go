package clock

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
)

const wrap = 1 << 32 // us

func TestWraps(t *testing.T) {
	for _, before := range []int64{1, 500_000, 5_000_000, 60_000_000} { // us
		s := newSim(6, -3283, exactly(10e6), held(16e6, 0.3e6))
		s.us = wrap - before
		a := New(Options{})
		first, us := place(t, a, s), s.us
		if n := s.run(a, 120); n[Late]+n[Restarted] > 0 {
			t.Errorf("wrap %d us after the start: verdicts %v", before, n)
		}
		last := place(t, a, s)
		if got := float64(last-first) / 1000 / float64(s.us-us); math.Abs(got-1-3283e-6) > 300e-6 {
			t.Errorf("wrap %d us after the start: times run at %.6f of device time", before, got)
		}
	}
}

// Readings once a minute for ten wraps; then silences of more than half a wrap.
func TestWrapsInSilence(t *testing.T) {
	for _, ppm := range ppms {
		s := newSim(7, ppm, exactly(10e6), smooth(1e6))
		a := New(Options{})
		s.run(a, 60)
		s.schedule = exactly(60e9)
		if n := s.run(a, 10*wrap/1e6); n[Late]+n[Restarted] > 0 {
			t.Errorf("%v ppm, a reading a minute: verdicts %v", ppm, n)
		}
		for _, minutes := range []float64{20, 37, 71.58, 71.6, 110, 600} {
			s.skip(minutes * 60e9)
			at := place(t, a, s)
			if off := float64(at) - s.host; math.Abs(off) > 50e6 {
				t.Errorf("%v ppm, silent for %v min: placed %.0f ms off", ppm, minutes, off/1e6)
			}
			s.schedule = exactly(10e6)
			s.run(a, 200)
		}
	}
}

// In a silence the clocks may drift apart: by what the rate's uncertainty and the
// room's temperature allow, or by all that is believed while the rate is not known.
func TestSilence(t *testing.T) {
	for _, c := range []struct {
		name           string
		before, silent float64 // [s]
		ppm, change    float64 // [ppm]
	}{
		{"known, then faster", 120, 7200, 40, 20},
		{"known, then slower", 120, 7200, 40, -40},
		{"unknown, slow", 3, 1200, -5000, 0},
		{"unknown, fast", 3, 600, 5000, 0},
	} {
		s := newSim(10, c.ppm, exactly(10e6), smooth(0.1e6))
		a := New(Options{})
		s.run(a, c.before)
		s.ppm += c.change
		s.skip(c.silent * 1e9)
		if n := s.run(a, 20); n[Late]+n[Restarted] > 0 {
			t.Errorf("%s: verdicts %v", c.name, n)
		}
	}
}

func TestLate(t *testing.T) {
	s := newSim(8, 40, exactly(10e6), smooth(0.1e6))
	a := New(Options{})
	s.run(a, 1800) // the tolerance must not grow with age
	for _, back := range []int64{1, 9_000, 20_000, 1_999_000, 10_000_000, 3_000_000_000, -80_000, -300_000, -3_000_000, -2_000_000_000} {
		before := *a
		if _, v := a.Place(uint32(s.us-back), s.arrival); v != Late {
			t.Errorf("a reading %d us back: verdict %d, want it late", back, v)
		}
		before.strays = a.strays
		if before != *a {
			t.Errorf("a reading %d us back changed the state", back)
		}
		place(t, a, s) // the next one is good again
	}
}

// Two or three sensors may be read in the same microsecond; a counter that has stopped
// goes on for longer than that.
func TestSameMicrosecond(t *testing.T) {
	s := newSim(8, 40, exactly(10e6), smooth(0.1e6))
	a := New(Options{})
	s.run(a, 5)
	want := a.newestT
	for i := range maxSame {
		if got, v := a.Place(uint32(s.us), s.arrival); v != Placed || got != want {
			t.Errorf("reading %d of the same microsecond: %d, verdict %d; want %d, placed", i, got, v, want)
		}
	}
	if _, v := a.Place(uint32(s.us), s.arrival); v != Late {
		t.Errorf("one more: verdict %d, want it late", v)
	}
	place(t, a, s)
	if _, v := a.Place(uint32(s.us), s.arrival); v != Placed {
		t.Errorf("after a new instant: verdict %d, want it placed", v)
	}
}

// Every second line comes after the one that it should precede: those are late, and
// nothing else happens.
func TestSwappedLines(t *testing.T) {
	s := newSim(8, 40, exactly(10e6), smooth(0.1e6))
	a := New(Options{})
	s.run(a, 1)
	for range 200 {
		s.next()
		held := uint32(s.us)
		place(t, a, s)
		if _, v := a.Place(held, s.arrival); v != Late {
			t.Fatalf("swapped line: verdict %d", v)
		}
	}
}

// A counter that stands still gives no more readings, for ever.
func TestStuckCounter(t *testing.T) {
	s := newSim(8, 40, exactly(10e6), smooth(0.1e6))
	a := New(Options{})
	s.run(a, 20)
	for range maxSame {
		a.Place(uint32(s.us), s.arrival)
	}
	for _, us := range []int64{s.us, s.us - 100_000, s.us + 100_000_000} {
		for i := range int64(1000) {
			if _, v := a.Place(uint32(us), s.arrival+i*10e6); v != Late {
				t.Fatalf("reading %d at %d us (newest %d): verdict %d", i, us, s.us, v)
			}
		}
	}
}

// The counter starts afresh while the port stays open.
func TestRestart(t *testing.T) {
	for _, c := range []struct {
		name     string
		age, off float64 // [s] device time before, silence
		us       uint32  // counter afterwards
		lost     int     // readings refused until it is believed
	}{
		{"within two seconds", 1.5, 0.1, 5000, 10},
		{"after a minute", 60, 1, 5000, farRun - 1},
		{"after an hour", 3600, 1, 5000, farRun - 1},
		{"forward by a second", 60, 0.01, 61_000_000, farRun - 1},
		{"forward by 20 minutes", 60, 0.01, 1_260_000_000, farRun - 1},
		{"to half a wrap", 60, 0.01, 60_000_000 + 1<<31, farRun - 1},
	} {
		s := newSim(11, 1258, exactly(10e6), held(16e6, 0.3e6))
		s.us = 0
		a := New(Options{})
		s.run(a, c.age)
		newest := a.newestT
		s.us = int64(c.us)
		s.host += c.off * 1e9
		for n := 0; ; n++ {
			s.next()
			at, v := a.Place(uint32(s.us), s.arrival)
			if v == Late && n < c.lost {
				continue
			}
			if v != Restarted || n != c.lost || at != s.arrival || at <= newest {
				t.Errorf("%s: reading %d has verdict %d and time %d (arrival %d); want reading %d to restart at its arrival",
					c.name, n, v, at, s.arrival, c.lost)
			}
			break
		}
		if ppm, _, known := a.Skew(); known || c.age > 20 && math.Abs(ppm-1258) > 20 {
			t.Errorf("%s: just after it %v ppm, known %t; want the rate from before, unknown", c.name, ppm, known)
		}
		if n := s.run(a, 60); n[Late]+n[Restarted] > 0 {
			t.Errorf("%s: verdicts afterwards %v", c.name, n)
		}
		if ppm, u, known := a.Skew(); !known || math.Abs(ppm-1258) > 3*u {
			t.Errorf("%s: rate afterwards %v ppm, u %v, known %t", c.name, ppm, u, known)
		}
	}
}

// The host does nothing for a while; then it gets what the link kept for it. No
// reading is refused and times go on as if nothing had been.
func TestHostStopped(t *testing.T) {
	for _, seconds := range []float64{0.5, 3, 10, 600} {
		for _, kept := range []float64{1.3, 1e9} { // [s] of lines that the link keeps
			s := newSim(12, 1258, exactly(10e6), smooth(1e6))
			a := New(Options{})
			s.run(a, 60)
			ppm, _, _ := a.Skew()
			offset := float64(a.newestT) - s.host
			s.busy = s.host + seconds*1e9
			for s.host < s.busy {
				s.next()
				if s.host > s.busy-(seconds-kept)*1e9 {
					continue // lost
				}
				at, v := a.Place(uint32(s.us), s.arrival)
				if off := float64(at) - s.host - offset; v != Placed || math.Abs(off) > 0.2e-3*seconds*1e9+1e3 {
					t.Fatalf("stopped for %v s: verdict %d, placed %.3f ms off", seconds, v, off/1e6)
				}
			}
			if n := s.run(a, 30); n[Late]+n[Restarted] > 0 {
				t.Errorf("stopped for %v s: verdicts afterwards %v", seconds, n)
			}
			if old := s.arrival - a.tiedAt; old > 10e9 {
				t.Errorf("stopped for %v s: the rate is %.0f s old 30 s later", seconds, float64(old)/1e9)
			}
			if after, u, _ := a.Skew(); math.Abs(after-ppm) > 1+2*u {
				t.Errorf("stopped for %v s: rate was %v ppm, is %v", seconds, ppm, after)
			}
		}
	}
}

// A backlog of a minute that drains at three times the pace of life, as over a slow
// link, is no pause of the device.
func TestSlowBacklog(t *testing.T) {
	s := newSim(12, 1258, exactly(10e6), smooth(1e6))
	a := New(Options{})
	s.run(a, 60)
	stopped := s.host
	s.link = func(_ *rand.Rand, t float64) float64 { return max(t, stopped+60e9+(t-stopped)/3) }
	if n := s.run(a, 120); n[Late]+n[Restarted] > 0 {
		t.Errorf("verdicts %v", n)
	}
}

// The device sleeps with its counter stopped: after 5 s its lines begin a new epoch,
// or at once where the counter fits no wrap at all.
func TestDeviceSlept(t *testing.T) {
	for _, seconds := range []float64{0.4, 1, 60, 7200} {
		least := pauseLength
		if seconds > wrap/2e6 {
			least = 20e6
		}
		s := newSim(13, -3283, exactly(10e6), held(16e6, 0.3e6))
		a := New(Options{})
		s.run(a, 100)
		s.host += seconds * 1e9
		woke := s.host
		var at int64
		v := Placed
		for v != Restarted && s.host < woke+20e9 {
			s.next()
			at, v = a.Place(uint32(s.us), s.arrival)
		}
		if took := s.host - woke; v != Restarted || took < least || took > least+0.1e9 || at != s.arrival {
			t.Errorf("slept %v s: verdict %d after %.2f s, time %d (arrival %d)", seconds, v, took/1e9, at, s.arrival)
		}
		if n := s.run(a, 60); n[Late]+n[Restarted] > 0 {
			t.Errorf("slept %v s: verdicts afterwards %v", seconds, n)
		}
	}
}

// Damaged counters, as on lines without checksums, begin no epoch. (Damage below the
// tolerance is placed, and can disturb the rate by up to 50 ms a minute.)
func TestDamagedCounters(t *testing.T) {
	s := newSim(14, 40, exactly(10e6), smooth(1e6))
	a := New(Options{})
	s.run(a, 20)
	counts := map[Verdict]int{}
	for i := range 3200 {
		s.next()
		us := uint32(s.us)
		if i%7 < 2 { // two in a row
			us ^= 1 << (16 + i/7%16)
		}
		_, v := a.Place(us, s.arrival)
		counts[v]++
	}
	if counts[Restarted] != 0 || counts[Placed] < 3200*5/7 {
		t.Errorf("verdicts %s", fmt.Sprint(counts))
	}
}
