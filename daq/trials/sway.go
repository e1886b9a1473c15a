package trials

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

const (
	leastSway  = 0.2e-3 // [m] amplitude that is worth a word
	surely     = 5.0    // [1] standard uncertainties, the best of several frequencies having been picked
	aside      = 0.10   // [1] relative range of frequencies looked at, to either side
	lagged     = 0.030  // [s] between the forces from which the rate of the force is taken
	fewSwayed  = 40     // distances from which sway can be told
	rayleigh   = 1.18   // [1] median amplitude of noise over the standard deviation of its parts
	apartAtAll = 1.0    // [1] periods by which two frequencies must part over the trial
)

// sway looks for a sideways swing. It lengthens the path to the bob twice in each of its
// own periods, which the force does not follow: distance and force disagree at twice the
// pendulum's frequency.
func (v *view) sway() []Finding {
	hanging := v.body.apparatus.Support.Value - v.body.neutral - v.body.apparatus.Bob.Length.Value/2
	twice := 2 * math.Sqrt(v.body.apparatus.Gravity.Value/hanging) // [rad/s]
	own := math.Pi / v.body.half
	from, to := v.release+v.body.half, min(v.end, v.swing.To)
	if len(v.felt) == 0 || math.Abs(twice-own)*(to-from) < apartAtAll*2*math.Pi {
		return nil // the two frequencies cannot be told apart
	}
	times, base, y := v.disagreement(from, to)
	if len(times) < fewSwayed {
		return nil
	}
	amplitude, at := 0.0, 0.0
	var others []float64 // amplitudes where nothing is looked for
	step := math.Pi / (to - from)
	for w := twice / 2; w <= 2*twice; w += step {
		if math.Abs(w-own)*(to-from) < apartAtAll*2*math.Pi {
			continue
		}
		switch a, ok := periodic(times, base, y, w); {
		case !ok:
		case math.Abs(w-twice) > aside*twice:
			others = append(others, a)
		case a > amplitude:
			amplitude, at = a, w
		}
	}
	if len(others) < 5 {
		return nil
	}
	slices.Sort(others)
	u := others[len(others)/2] / rayleigh
	if !(amplitude > leastSway && amplitude > surely*u) {
		return nil
	}
	return finding(Sway, true, "distance and force disagree by %.1f mm, %.2f times a second, twice as often as this pendulum swings sideways: let the bob hang still sideways before lifting it straight up",
		1e3*amplitude, at/(2*math.Pi))
}

// disagreement returns, for the distances between two instants, their times [s], what
// belongs to the force (a constant, a drift, the force, its rate) and the heights [m].
func (v *view) disagreement(from, to float64) (times []float64, base [][]float64, y []float64) {
	for i, t := range v.seen {
		if t < from || t > to {
			continue
		}
		f, before, after := at(v.felt, v.pull, t), at(v.felt, v.pull, t-lagged), at(v.felt, v.pull, t+lagged)
		if math.IsNaN(f + before + after) {
			continue
		}
		times = append(times, t)
		base = append(base, []float64{1, t - from, f, after - before})
		y = append(y, v.heights[i])
	}
	return times, base, y
}

// periodic fits the base and a sinusoid of angular frequency w and returns the
// sinusoid's amplitude [m].
func periodic(times []float64, base [][]float64, y []float64, w float64) (amplitude float64, ok bool) {
	n, p := len(times), len(base[0])+2
	a := mat.NewDense(n, p, nil)
	for i, t := range times {
		a.SetRow(i, append(base[i][:p-2:p-2], math.Cos(w*t), math.Sin(w*t)))
	}
	b := mat.NewVecDense(n, y)
	var qr mat.QR
	qr.Factorize(a)
	var x mat.VecDense
	if err := qr.SolveVecTo(&x, false, b); err != nil {
		return 0, false
	}
	return math.Hypot(x.AtVec(p-2), x.AtVec(p-1)), true
}
