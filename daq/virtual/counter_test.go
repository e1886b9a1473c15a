package virtual

import (
	"math"
	"testing"
)

// A clock that is off by some ppm, and drifts, counts the integral of its rate.
func TestCounter(t *testing.T) {
	c := counter{Clock: Clock{PPM: 1258, Drift: 2, SeqBits: 32}, up: 5e6}
	near(t, "count after 100 s", c.ticks(5e6+100e9), 1e8*(1+1e-6*(1258+100)), 1e-3)
	for _, ticks := range []float64{0, 1, 25000, 1e6, 3.7e9, 9e10} {
		at := c.reached(ticks)
		if now, before := c.ticks(at), c.ticks(at-1); now < ticks-1e-4 || before > ticks+1e-4 {
			t.Errorf("count %g is reached at %d ns, where it is %g", ticks, at, now)
		}
	}
	near(t, "a millisecond in ticks", c.measured(1e-3, 5e6), 1000*(1+1258e-6), 1e-9)
	near(t, "a millisecond in ticks later", c.measured(1e-3, 5e6+100e9), 1000*(1+1458e-6), 1e-9)
}

// Stamps run at the clock's rate and say when the values were taken.
func TestStamps(t *testing.T) {
	for _, ppm := range []float64{0, -3283, 1258} { // of published measurements of boards
		c := brisk()
		c.Clock.PPM, c.Clock.Late = ppm, 4e-6
		s := hear(t, c, 60).samples
		first, last := s[0], s[len(s)-1]
		got := float64(last.Reading.DeviceUs-first.Reading.DeviceUs) / (float64(last.At-first.At) * 1e-3)
		near(t, "rate [ppm]", (got-1)*1e6, ppm, 0.2)
		for _, s := range s {
			shown := float64(s.At-5e6) * 1e-3 * (1 + ppm*1e-6)
			if late := float64(s.Reading.DeviceUs) - shown; late < -1.01 || late > 4.1 {
				t.Fatalf("stamp %d is %g us late", s.Reading.DeviceUs, late)
			}
		}
	}
}

func TestStampsWrap(t *testing.T) {
	c := brisk()
	c.Clock.Start = math.MaxUint32 - 2e6
	c.Spring.Coils = 1
	c.Clock.SeqBits = 16
	c.Load.Rate, c.Line.Baud = 320, 0
	h := hear(t, c, 190)
	wraps, seqWraps := 0, 0
	for i := 1; i < len(h.readings); i++ {
		a, b := &h.readings[i-1], &h.readings[i]
		if b.DeviceUs < a.DeviceUs {
			wraps++
		}
		if step := b.DeviceUs - a.DeviceUs; step > 100_000 {
			t.Fatalf("stamps %d and %d", a.DeviceUs, b.DeviceUs)
		}
		if b.Seq < a.Seq {
			seqWraps++
		}
		if b.Seq != (a.Seq+1)&0xffff {
			t.Fatalf("seq %d after %d", b.Seq, a.Seq)
		}
	}
	if wraps != 1 || seqWraps != 1 {
		t.Errorf("clock wrapped %d times and seq %d times, want 1 each", wraps, seqWraps)
	}
}
