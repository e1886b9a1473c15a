package trials

import "math"

const (
	leastBlow = 0.24  // [1] share of the swing's largest momentum that the floor gives at least
	surelyHit = 6.0   // [1] standard uncertainties, the best of many instants having been picked
	nearFloor = 5e-3  // [m] of a bob that touches the floor, besides what is not known
	besides   = 0.6   // [1] half swings that are looked at on either side of a blow
	halves    = 6     // half swings after the release in which a blow is looked for
	coarse    = 8e-3  // [s] between the instants tried
	fine      = 1e-3  // [s] the same near the best
	placeLaw  = 0.006 // [1] share of the amplitude by which the law's middle may be off
	placeTop  = 0.02  // [1] the same where the force at the top tells the height
)

// blow is a sudden change of velocity.
type blow struct {
	t      float64 // [s]
	height float64 // [m] of the bob there
	u      float64 // [m]
	jump   float64 // [m/s] by which the bob was suddenly faster, upward
	score  float64 // [1] jump over its standard uncertainty
}

// floor looks for a contact with the floor: at one instant, the bob being at the floor,
// its velocity changed as no spring can change it.
func (v *view) floor() []Finding {
	swing := math.Abs(v.out())
	var hit blow
	for _, b := range []blow{
		v.struck(v.sight, v.body.neutral, swing, math.Hypot(1e-3, placeLaw*swing), 0, 1),
		v.struck(v.cellIfQuick(), v.body.neutral, swing, math.Hypot(1e-3, placeTop*swing), v.bench.Calibration.Force.Delay.Value, modeOf(v.ratio()).top),
	} {
		if b.score > hit.score {
			hit = b
		}
	}
	if hit.score == 0 {
		return nil
	}
	return finding(Floor, true, "the bob touched the floor %.2f s after the release, with a blow of %.0f mN s: raise the support, or let it go from lower down",
		hit.t-v.release, 1e3*v.body.inertia*hit.jump)
}

// out is how far [m] above the neutral height the bob was held.
func (v *view) out() float64 {
	if held, ok := v.held(v.sight, 0); ok {
		return held.Value - v.body.neutral
	}
	if held, ok := v.held(v.cell, v.bench.Calibration.Force.Delay.Value); ok {
		return held.Value
	}
	return math.NaN()
}

// cellIfQuick returns the forces, none where the converter's averaging is too long to
// follow a bounce.
func (v *view) cellIfQuick() channel {
	c := v.cell
	if v.bench.Calibration.Force.Delay.Value > v.body.half/6 {
		c.t, c.y = nil, nil
	}
	if len(c.y) == 0 {
		return c
	}
	placed := channel{t: c.t, noise: c.noise, y: make([]float64, len(c.y))}
	for i, y := range c.y {
		placed.y[i] = v.body.neutral + y
	}
	return placed
}

// struck returns the surest blow by the floor in a channel of heights whose middle is known
// to u, with no score where there is none. Readings so near to a blow [s] as blur are left
// out; the channel shows times as much of a swing as there is.
func (v *view) struck(c channel, middle, swing, u, blur, times float64) (best blow) {
	if math.IsNaN(swing) {
		return best
	}
	w := v.frequency()
	half := math.Pi / w
	end := min(v.end, v.release+halves*half)
	try := func(t float64) {
		b, ok := c.between(t-besides*half, t+besides*half).blowAt(t, w, middle, u, blur)
		b.jump /= times
		if ok && b.score > max(surelyHit, best.score) && b.jump > leastBlow*w*swing && math.Abs(b.height) < nearFloor+3*b.u {
			best = b
		}
	}
	for t := v.release + 0.3*half; t < end; t += coarse {
		try(t)
	}
	if best.score > 0 {
		for t, to := best.t-coarse, best.t+coarse; t < to; t += fine {
			try(t)
		}
	}
	return best
}

// blowAt fits a swing of angular frequency w about a middle, which is known to u, whose
// velocity jumps at t.
func (c channel) blowAt(t, w, middle, u, blur float64) (blow, bool) {
	const terms, leastBeside = 4, 2
	l := newLinear(terms)
	before, after := 0, 0
	for i, at := range c.t {
		s := at - t
		if math.Abs(s) < blur {
			continue
		}
		if s < 0 {
			before++
		} else {
			after++
		}
		sin, cos := math.Sincos(w * s)
		l.add([]float64{1, cos, sin, math.Abs(sin) / w}, c.y[i]-middle)
	}
	if before < leastBeside || after < leastBeside {
		return blow{}, false
	}
	l.prior(0, u/c.noise)
	f, ok := l.solve()
	if !ok || f.values[1] > 0 {
		return blow{}, false
	}
	scatter := max(c.noise, math.Sqrt(f.misfit/float64(f.spare)))
	v := f.cover
	return blow{
		t: t, height: middle + f.values[0] + f.values[1],
		u:    scatter * math.Sqrt(v.At(0, 0)+2*v.At(0, 1)+v.At(1, 1)),
		jump: 2 * f.values[3], score: f.values[3] / (scatter * f.u(3)),
	}, true
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return itoa(n) + " times"
}
