package virtual

import (
	"math"
	"testing"
)

// A bench held still shows the load and the height that it was given, within noise, and
// swings on when it is let go.
func TestHold(t *testing.T) {
	c := Quiet(100)
	d, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	var distance, force, spread float64
	var n, m float64
	var last Sample
	d.Watch(func(s *Sample) {
		last = *s
		if !math.IsNaN(s.Distance) {
			distance += s.Distance
			n++
		}
		if !math.IsNaN(s.Force) {
			force += s.Force
			spread = max(spread, math.Abs(s.Force-1.7))
			m++
		}
	})
	play := func(until int64) {
		for {
			if _, at, _ := d.Next(); at > until {
				return
			}
		}
	}
	play(6e9)
	d.Set(0.31, 1.7)
	play(6.2e9)
	distance, force, spread, n, m = 0, 0, 0, 0, 0
	play(9e9)
	if off := distance/n - (0.31 - c.Ranger.Position); math.Abs(off) > 1e-9 {
		t.Errorf("mean distance is %g m off", off)
	}
	if spread > 1e-9 || m == 0 {
		t.Errorf("force is up to %g N off 1.7 N in %g conversions", spread, m)
	}
	d.Leave()
	play(9.5e9)
	if math.Abs(last.Force-1.7) < 1e-9 {
		t.Errorf("let go, the force is still %g N", last.Force)
	}
}
