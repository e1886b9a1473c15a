package loss

import (
	"math"
	"testing"

	"joulewell/energy"
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

// Waves shift turning points from a law of decay by no more than their ripple says, spread
// evenly from nothing to its bound.
func TestRipplesCoverTheChain(t *testing.T) {
	for _, ratio := range []float64{0.07, 0.32, 0.6} {
		c := newChain(ratio, 40)
		n := len(c.place) - 1
		h := 0.2 * math.Sqrt(ratio) / float64(n)
		record := []Turning{{T: energy.Estimate{U: 1}, Extension: energy.Estimate{U: 1e-9}, Side: Upper, Release: true}}
		for now := 0.0; len(record) < 40; now += h {
			v := c.rush[n]
			if c.step(h); v*c.rush[n] >= 0 {
				continue
			}
			side := record[len(record)-1].Side
			record = append(record, Turning{T: energy.Estimate{Value: now, U: 1}, Extension: energy.Estimate{Value: c.place[n], U: 1e-9}, Side: -side, Index: len(record)})
		}
		if err := Ripples(record, ratio); err != nil {
			t.Fatal(err)
		}
		near(t, "ripple at the release", record[0].Ripple, 0, 0)
		var most float64
		for _, p := range record[1:] {
			missing := 1 - math.Abs(p.Extension.Value-1) // of the amplitude, the bob's weight over the rate
			if missing < -1e-6 || missing > 1.05*p.Ripple*math.Sqrt(12) {
				t.Errorf("mass ratio %g, turn %d: %.2g of the amplitude is missing, ripple %.2g", ratio, p.Index, missing, p.Ripple)
			}
			most = max(most, missing/p.Ripple/math.Sqrt(12))
		}
		if most < 0.3 {
			t.Errorf("mass ratio %g: ripple is never used past %.0f %%", ratio, 100*most)
		}
	}
	if err := Ripples([]Turning{{Extension: energy.Estimate{U: 1}, T: energy.Estimate{U: 1}}}, 3); err == nil {
		t.Error("a spring three times as heavy as the bob was taken")
	}
}

// A heavy spring whose bob meets drag, in its own shape so that no wave runs: the support's
// force encloses an area though the spring gives all back, for the coils' mass makes it
// larger than the spring's. It must be taken out.
func TestHeavyCoilsFeignNoLoss(t *testing.T) {
	const beads, friction = 40, 0.02
	for _, c := range []struct{ ratio, q float64 }{{0.1, 0.311052848200298}, {0.5, 0.653271187094403}} { // x tan x = r, as above
		k := newChain(c.ratio, beads)
		for i := range k.place { // the mode of the swing, about the bob's rest
			s := float64(i) / beads
			k.place[i] = s - math.Sin(c.q*s)/math.Sin(c.q)
		}
		k.forces()
		h := 0.2 * math.Sqrt(c.ratio) / beads
		var points []Point
		record := []Turning{{T: energy.Estimate{Value: -h, U: 1}, Extension: energy.Estimate{Value: k.place[beads], U: 1}, Side: Upper}}
		for i := 0; len(record) < 14; i++ {
			at, v := float64(i)*h, k.rush[beads]
			points = append(points, Point{at, k.place[beads], beads * k.place[1]})
			k.step(h)
			k.rush[beads] *= 1 - friction*h
			if v*k.rush[beads] < 0 {
				side := record[len(record)-1].Side
				record = append(record, Turning{T: energy.Estimate{Value: at, U: 1}, Extension: energy.Estimate{Value: k.place[beads], U: 1}, Side: -side, Index: len(record)})
			}
		}
		quiet := Channels{Force: 1e-9, Extension: 1e-9, Delay: energy.Estimate{U: 1e-9}}
		for _, known := range []bool{false, true} {
			quiet.MassRatio = 0
			if known {
				quiet.MassRatio = c.ratio
			}
			set, err := Loops(points, record, quiet)
			if err != nil {
				t.Fatal(err)
			}
			var work float64
			first, end := set.Loops[0], set.Loops[len(set.Loops)-1]
			set.parts(&work)
			span := end.To - first.From
			lost := (1 - math.Exp(-friction*span)) / 2 // of k A^2/2, thereabouts
			t.Logf("mass ratio %g, known %t: loops show %.2f %% of the loss", c.ratio, known, 100*work/lost)
			if known && math.Abs(work) > 0.02*c.ratio*lost {
				t.Errorf("mass ratio %g: loops feign %.3g of a loss of %.3g", c.ratio, work, lost)
			}
			if !known && math.Abs(work/lost-c.ratio/6) > 0.03*c.ratio {
				t.Errorf("mass ratio %g: loops show %.3g of the loss, want a sixth of the ratio: is anything tried?", c.ratio, work/lost)
			}
		}
	}
}
