package loss

import (
	"math"
	"testing"
)

// chain is a lossless uniform spring of beads with a bob at its end, let go at rest
// where the bob touches the hanging spring, in units in which bob, rate and the bob's
// weight are 1. It is integrated by velocity Verlet and knows nothing of slow
// stretching.
type chain struct {
	ratio       float64
	place, rush []float64
	pull, mass  []float64
}

func newChain(ratio float64, beads int) *chain {
	c := &chain{ratio: ratio, place: make([]float64, beads+1), rush: make([]float64, beads+1), pull: make([]float64, beads+1), mass: make([]float64, beads+1)}
	for i := range c.mass {
		c.mass[i] = ratio / float64(beads)
	}
	c.mass[beads] = c.mass[beads]/2 + 1
	c.forces()
	return c
}

func (c *chain) forces() {
	n := len(c.place) - 1
	k := float64(n)
	for i := 1; i < n; i++ {
		c.pull[i] = k * (c.place[i+1] - 2*c.place[i] + c.place[i-1])
	}
	c.pull[n] = 1 - k*(c.place[n]-c.place[n-1])
}

func (c *chain) step(h float64) {
	for i := 1; i < len(c.place); i++ {
		c.rush[i] += c.pull[i] / c.mass[i] * h / 2
		c.place[i] += c.rush[i] * h
	}
	c.forces()
	for i := 1; i < len(c.place); i++ {
		c.rush[i] += c.pull[i] / c.mass[i] * h / 2
	}
}

// ripple is what a lossless chain does to the books: shares of the exchanged energy
// by which place and speed of the bob misstate it, and loops of the support's force.
type ripple struct {
	firstWay, firstTurn, laterTurn, anywhere float64
	loops                                    float64 // largest sum of loops from the first lowest point on
	time                                     float64 // of the first turn
	turnsGained                              bool    // some turn showed more energy than there is
}

func (c *chain) swing(turns int) ripple {
	var r ripple
	n := len(c.place) - 1
	h := 0.2 * math.Sqrt(c.ratio) / float64(n)
	var area, sum, now float64
	for turn := 0; turn < turns; {
		x, v, f := c.place[n], c.rush[n], float64(n)*c.place[1]
		c.step(h)
		now += h
		nx, nv := c.place[n], c.rush[n]
		off := ((1+c.ratio/3)*nv*nv/2 + nx*nx/2 - nx) / (2 + c.ratio)
		area += (f + float64(n)*c.place[1]) / 2 * (nx - x)
		if turn == 0 {
			r.firstWay = max(r.firstWay, math.Abs(off))
		}
		r.anywhere = max(r.anywhere, math.Abs(off))
		if v*nv >= 0 {
			continue
		}
		turn++
		r.turnsGained = r.turnsGained || off > 1e-9
		if turn == 1 {
			r.firstTurn, r.time = off, now
		} else {
			r.laterTurn = max(r.laterTurn, math.Abs(off))
		}
		if turn%2 == 1 {
			if turn > 1 {
				sum += area
				r.loops = max(r.loops, math.Abs(sum))
			}
			area = 0
		}
	}
	return r
}

// The chain itself against an exact solution: travelling waves, worked out at 40
// digits outside this project.
func TestChainAgainstTravellingWaves(t *testing.T) {
	for _, c := range []struct{ ratio, way, turn, time float64 }{
		{0.1, 0.00105558331, -0.000180135439, 1.00048233},
		{0.3, 0.00499764653, -0.0013599113, 1.00230149},
		{1, 0.0198898776, -0.00852768849, 0.995909526},
	} {
		r := newChain(c.ratio, 100).swing(1)
		near(t, "share on the way", r.firstWay, c.way, 2e-3*c.way)
		near(t, "share at the lowest point", r.firstTurn, c.turn, 5e-3*-c.turn)
		// omega = x sqrt(k/m_s) with x tan x = r: half a period is pi sqrt(r)/x
		x := map[float64]float64{0.1: 0.311052848200298, 0.3: 0.521791176313584, 1: 0.86033358901938}[c.ratio]
		near(t, "time to the lowest point", r.time, c.time*math.Pi*math.Sqrt(c.ratio)/x, 1e-3*math.Pi)
	}
}

// The bounds of coil waves and of the loops they feign, over 20 lossless cycles.
func TestCoilWaveBoundsHold(t *testing.T) {
	ratios := []float64{0.02, 0.07, 0.17, 0.32, 0.6, 0.95, 2}
	beads := 30
	if !testing.Short() {
		beads = 40
		for r := 0.02; r < 1; r += 0.05 {
			ratios = append(ratios, r)
		}
	}
	closest := map[Where]float64{}
	for _, ratio := range ratios {
		r := newChain(ratio, beads).swing(41)
		for at, share := range map[Where]float64{FirstWay: r.firstWay, FirstTurn: -r.firstTurn, LaterTurn: r.laterTurn, Anywhere: r.anywhere} {
			bound, err := CoilWave(ratio, at)
			if err != nil {
				t.Fatal(err)
			}
			if !(share >= 0 && share <= 1.01*bound) { // so few beads are a hundredth off
				t.Errorf("mass ratio %g, place %d: share %g, bound %g", ratio, at, share, bound)
			}
			closest[at] = max(closest[at], share/bound)
		}
		if r.turnsGained {
			t.Errorf("mass ratio %g: a turning point shows more energy than there is", ratio)
		}
		if r.loops > feigned(ratio) {
			t.Errorf("mass ratio %g: loops feign %g of k A^2, bound %g", ratio, r.loops, feigned(ratio))
		}
	}
	for at, share := range closest { // a bound far above everything would be idle
		if share < 0.85 {
			t.Errorf("place %d: bound is never used past %.0f %%", at, 100*share)
		}
	}
}

func TestCoilWaveRefuses(t *testing.T) {
	for _, ratio := range []float64{-0.1, 2.1, math.NaN(), math.Inf(1)} {
		if share, err := CoilWave(ratio, LaterTurn); err == nil {
			t.Errorf("mass ratio %g: %g, want a refusal", ratio, share)
		}
	}
	if _, err := CoilWave(0.1, Where(17)); err == nil {
		t.Error("unknown place was taken")
	}
	if share, err := CoilWave(0.3, AtRelease); share != 0 || err != nil {
		t.Errorf("at release: %g, %v, want 0", share, err)
	}
}

// Ripple and lag of the support's force, in numbers: 60 g on 25 N/m lag 0.049 s, the
// ripple is half the spring's weight after a drop by the bob's weight.
func TestSupportLagAndRipple(t *testing.T) {
	const m, bob, k, g = 0.06, 0.25, 25.0, 9.80665
	period := 2 * math.Pi * math.Sqrt((bob+m/3)/k)
	reach := bob * g / k
	points := []Point{{0, 0.01, 0.25}, {1, 0.1, 2.5}, {2, 0.2, 5}}
	lag, ripple := Channels{MassRatio: m / bob}.support(points, []Loop{{square: reach * reach}}, period)
	near(t, "lag", lag, math.Sqrt(m/k), 1e-12)
	near(t, "ripple", ripple, m*g/2, 1e-12)
}
