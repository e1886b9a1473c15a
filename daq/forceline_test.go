package daq

import (
	"math"
	"math/rand/v2"
	"testing"

	"joulewell/energy"
)

// The force at any instant against a plain walk along all conversions.
func TestForceLineAgainstAPlainWalk(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	l := newForceLine(0.025)
	type point struct {
		t int64
		f float64
	}
	var all []point
	now := int64(0)
	for range 3 * forceKept {
		now += 1 + rng.Int64N(2e7)
		if rng.IntN(100) == 0 {
			now += 2 * forceGap
		}
		f := rng.NormFloat64()
		l.add(now, known(f))
		all = append(all, point{now - 25e6, f})
	}
	all = all[len(all)-forceKept:]
	absent, exact := 0, 0
	for range 20_000 {
		at := all[0].t - 1e7 + rng.Int64N(all[len(all)-1].t-all[0].t+2e7)
		if rng.IntN(10) == 0 {
			at = all[rng.IntN(len(all))].t
			exact++
		}
		want := math.NaN()
		for i, p := range all {
			if p.t == at {
				want = p.f
			} else if i > 0 && all[i-1].t < at && at < p.t && p.t-all[i-1].t <= forceGap {
				share := float64(at-all[i-1].t) / float64(p.t-all[i-1].t)
				want = all[i-1].f + share*(p.f-all[i-1].f)
			}
		}
		got := l.at(at, 0.1)
		if math.IsNaN(want) {
			absent++
		}
		if math.IsNaN(got.Value) != math.IsNaN(want) || math.Abs(got.Value-want) > 1e-12 {
			t.Fatalf("force at %d ns = %g, want %g", at, got.Value, want)
		}
	}
	if absent == 0 || exact == 0 {
		t.Errorf("%d absent, %d exact: the test looked at too little", absent, exact)
	}
	empty := newForceLine(0)
	if got := empty.at(0, 0.1); got != (energy.Estimate{}) && got.Known() {
		t.Errorf("force of an empty line = %v", got)
	}
}
