package virtual

import (
	"math"
	"testing"
)

// The hand starts each cycle in the same place at the same phase.
func TestCycle(t *testing.T) {
	c := Default()
	r := rigOf(t, c)
	ns := func(s float64) int64 { return int64(s * 1e9) }
	if s := r.At(ns(c.Hand.Hold) - 1); !s.Held || s.Velocity != 0 {
		t.Errorf("just before the release: %+v", s)
	}
	for cycle := range 3 {
		begin := float64(cycle) * c.Hand.Period
		held := r.At(ns(begin + 0.5*c.Hand.Hold))
		near(t, "place of the release [m]", held.Extension, r.start, 0)
		fallen := r.At(ns(begin + c.Hand.Hold + 0.2))
		near(t, "fall after 0.2 s [m]", fallen.Extension-r.start, 0.13, 0.02)
		if !held.Held || fallen.Held {
			t.Errorf("cycle %d: held %v before and %v after the release", cycle, held.Held, fallen.Held)
		}
	}
}

// The bob is caught near an upper turning point and carried without a jerk.
func TestCatchIsGentle(t *testing.T) {
	c := Default()
	r := rigOf(t, c)
	was, free := r.At(0), 0.0
	carried := 0
	for at := int64(0); at < 31e9; at += 1e6 {
		s := r.At(at)
		if dv := math.Abs(s.Velocity - was.Velocity); dv > 1.3*9.9e-3 {
			t.Fatalf("velocity jumps by %g m/s at %d ns", dv, at)
		}
		if s.Held && !was.Held {
			carried++
			near(t, "velocity when caught [m/s]", s.Velocity, 0, 0.02)
			if s.Extension > r.start+0.06 {
				t.Errorf("caught at %g m, far below the start at %g m", s.Extension, r.start)
			}
		}
		if !s.Held {
			free += 1e-3
		}
		was = s
	}
	if carried != 1 || free < 24 {
		t.Errorf("caught %d times, free for %g s of one cycle", carried, free)
	}
}

// A path begins and ends as asked, and its velocity is its derivative.
func TestPath(t *testing.T) {
	p := path{from: 0.1, to: 0.02, speed: 0.3, span: 1.5}
	x, v := p.at(0)
	near(t, "start", x, 0.1, 0)
	near(t, "speed at the start", v, 0.3, 1e-15)
	x, v = p.at(1.5)
	near(t, "end", x, 0.02, 1e-15)
	near(t, "speed at the end", v, 0, 1e-15)
	x, v = p.at(1.5 - 1e-9)
	near(t, "just before the end", x, 0.02, 1e-12)
	near(t, "speed just before the end", v, 0, 1e-12)
	for q := 0.1; q < 1.4; q += 0.1 {
		const h = 1e-6
		a, _ := p.at(q - h)
		b, _ := p.at(q + h)
		_, v := p.at(q)
		near(t, "velocity", v, (b-a)/(2*h), 1e-9)
	}
}
