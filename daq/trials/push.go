package trials

import (
	"math"

	"joulewell/calib/fit"
	"joulewell/energy"
	"joulewell/energy/loss"
)

const (
	sure       = 4.0  // [1] standard uncertainties
	leastShare = 0.01 // [1] share of the amplitude that a push must add to be worth a word
	fewTurns   = 4    // turning points from which the release is foretold, at least
	mostTurns  = 12   // and at most
)

// push is what the turning points say of how the bob left the hand.
type push struct {
	excess    energy.Estimate // [m] by which the swing goes farther out than the place where the bob was held
	speed     energy.Estimate // [m/s] at the release, whichever way
	amplitude float64         // [m]
	known     bool
}

// pushOf foretells from the turning points how far out a bob of that swing stood at the
// release itself. One that was let go at rest stood where it was held. The motion at the
// release does not tell it as well: how fast it began and when cannot be held apart in few
// noisy distances, while what a push gives stays in the swing.
func (v *view) pushOf() push {
	points := v.swing.Found.Points
	if len(points) < fewTurns+1 || !points[0].Release {
		return push{}
	}
	held := points[0]
	var turns []loss.Turning
	for _, p := range points[1:] {
		if p.Record == held.Record && len(turns) < mostTurns {
			turns = append(turns, p)
		}
	}
	out, ok := foretell(turns, 0)
	if !ok {
		return push{}
	}
	p := push{known: true}
	beyond := float64(-turns[0].Side) * (out.foretold.Value - held.Extension.Value)
	p.excess = energy.Estimate{Value: beyond, U: math.Hypot(out.foretold.U, held.Extension.U)}
	p.amplitude = out.amplitude
	p.speed = v.speed(p.excess, p.amplitude)
	return p
}

// foretold is a turning point before those seen.
type foretold struct {
	foretold  energy.Estimate // [m] extension
	amplitude float64         // [m]
}

// foretell fits turning points by middle + side A exp(-d n), n counting half swings, and
// reads it at half swing n = at. A decay that is straight differs by what the square of d
// makes there: half of that is one more uncertainty.
func foretell(turns []loss.Turning, at int) (foretold, bool) {
	if len(turns) < fewTurns {
		return foretold{}, false
	}
	decay := 0.0
	rows := make([][]float64, len(turns))
	y, u := make([]float64, len(turns)), make([]float64, len(turns))
	var f foretold
	for range 4 { // Gauss and Newton, linear but for the decay
		for i, p := range turns {
			n := float64(p.Index - at)
			side := float64(p.Side) * math.Exp(-decay*n)
			rows[i] = []float64{1, side, side * n}
			y[i], u[i] = p.Extension.Value, p.Extension.U
		}
		r, err := fit.Scattered(rows, y, u, nil)
		if err != nil || !(r.Values[1] > 0) {
			return foretold{}, false
		}
		side := -float64(turns[0].Side) * odd(turns[0].Index-at)
		v := r.Covariance()
		f.amplitude = r.Values[1]
		f.foretold.Value = r.Values[0] + side*r.Values[1]
		bend := decay * decay * f.amplitude
		f.foretold.U = math.Sqrt(v[0][0] + 2*side*v[0][1] + v[1][1] + bend*bend)
		decay -= r.Values[2] / r.Values[1]
	}
	return f, !math.IsNaN(f.foretold.Value + f.foretold.U)
}

// odd is 1 for an odd number of half swings, -1 for an even one.
func odd(n int) float64 {
	if n%2 == 0 {
		return -1
	}
	return 1
}

// speed turns an excess of the amplitude into the speed at the place of release.
func (v *view) speed(excess energy.Estimate, amplitude float64) energy.Estimate {
	square := func(x float64) float64 {
		return math.Pow(math.Pi/v.body.half, 2) * x * (2*amplitude + x)
	}
	at := math.Sqrt(math.Max(0, square(excess.Value)))
	return energy.Estimate{Value: at, U: math.Sqrt(square(math.Abs(excess.Value)+excess.U)) - math.Sqrt(square(math.Abs(excess.Value)))}
}

// pushed looks for a push at the release.
func (v *view) pushed(p push) []Finding {
	if n := v.swing.Push; n != nil && n.Pushed {
		return finding(Pushed, true, "the bob was pushed, not only let go: it left the hand at %.2f m/s: open the fingers without moving the hand",
			math.Abs(n.Speed.Value))
	}
	if !p.known || !(p.excess.Value > sure*p.excess.U && p.excess.Value > leastShare*p.amplitude) {
		return nil
	}
	return finding(Pushed, true, "the bob was pushed, not only let go: it swings %.1f mm farther out than where it was held, which takes %.2f m/s at the release: open the fingers without moving the hand",
		1e3*p.excess.Value, p.speed.Value)
}
