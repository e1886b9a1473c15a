package loss

import (
	"math"

	"joulewell/energy"
)

// loop integrates one cycle, from the turning point a by the one at the other side to b.
func (c Channels) loop(cycle []Point, a, other, b *Turning) Loop {
	n := len(cycle)
	from, to := a.T.Value, b.T.Value
	amplitude := math.Abs(a.Extension.Value-other.Extension.Value) / 2
	duration := to - from
	times, pulls := make([]float64, n), make([]float64, n)
	var area, lag, noise float64
	for i := range cycle {
		p, next, before := &cycle[i], &cycle[(i+1)%n], &cycle[(i+n-1)%n]
		area += (p.Force + next.Force) / 2 * (next.Extension - p.Extension)
		step := next.T - p.T
		if i+1 == n {
			step += duration // the chord that closes the loop
		}
		lag += (next.Force - p.Force) * (next.Extension - p.Extension) / step
		way := (next.Extension - before.Extension) / 2
		noise += c.Force * c.Force * way * way
		times[i], pulls[i] = p.T, c.Extension*(next.Force-before.Force)/2
	}
	if c.Memory > 0 {
		noise += alike(times, pulls, c.Memory)
	} else {
		for _, z := range pulls {
			noise += z * z
		}
	}
	// Both sums above hold, besides their own, the product of the two deviations.
	product := c.Force * c.Extension
	both := product * product * float64(n) / 2
	noise = max(noise-both, both)

	inert := c.inert(cycle, (a.Extension.Value+2*other.Extension.Value+b.Extension.Value)/4)
	work := area + lag*c.Delay.Value - inert
	polygon := math.Pow(2*math.Pi/float64(n), 2) / 6 // a polygon of n corners in an ellipse has so much less area
	settled := 1 - sinc(c.Settling/duration)         // a mean over the settling time shrinks the swing of the force by so much
	shared := math.Hypot(math.Hypot(lag*c.Delay.U, work*c.Scale), math.Hypot(work*(polygon+settled), inert/10))
	l := Loop{
		From: from, To: to,
		Noise:  math.Sqrt(noise),
		Shared: math.Copysign(shared, lag),
		waves:  feigned(c.MassRatio) * rateOf(cycle) * amplitude * amplitude,
		square: amplitude * amplitude,
	}
	l.Work = energy.Estimate{Value: work, U: math.Hypot(math.Hypot(l.Noise, shared), l.waves/math.Sqrt(3))}
	return l
}

// inert is the work [J] that the coils' own mass feigns when the swing decays. The force
// at the support is k X q/sin q with q^2 = m_s w^2/k (a uniform rod driven at its end, from
// memory), larger than the spring's by what moves the coils. That part does no work from one
// stand still to the next, but the chord that closes the loop takes it for a spring and
// gives it that spring's change of energy. Friction that is no spring's makes this right to
// a tenth only.
func (c Channels) inert(cycle []Point, middle float64) float64 {
	q := math.Sqrt(c.MassRatio / (1 + c.MassRatio/3)) // w^2 = k/(M + m_s/3)
	first, last := cycle[0].Extension-middle, cycle[len(cycle)-1].Extension-middle
	return rateOf(cycle) * (1 - sinc(q/math.Pi)) * (first - last) * (first + last) / 2
}

// sinc returns sin(pi x)/(pi x).
func sinc(x float64) float64 {
	if x == 0 {
		return 1
	}
	return math.Sin(math.Pi*x) / (math.Pi * x)
}

// rateOf returns the slope of force over extension [N/m] in a cycle.
func rateOf(cycle []Point) float64 {
	var x, f, xx, xf float64
	n := float64(len(cycle))
	for _, p := range cycle {
		x, f = x+p.Extension/n, f+p.Force/n
	}
	for _, p := range cycle {
		xx += (p.Extension - x) * (p.Extension - x)
		xf += (p.Extension - x) * (p.Force - f)
	}
	if xx == 0 {
		return 0
	}
	return math.Abs(xf / xx)
}
