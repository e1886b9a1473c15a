package timing

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat"

	"joulewell/calib/doubt"
	"joulewell/energy"
	"joulewell/energy/motion"
)

const (
	pieces     = 12    // of the record: what leaving one out does is the uncertainty
	leastInOne = 24    // force readings in each
	longestLag = 0.150 // [s]
	brisk      = 0.05  // [m/s] root mean square speed below which noise hides the lag
	turning    = 0.2   // share of that speed below which a reading is at a turn and left out
)

// FromStrokes finds the lag in a record of the spring's lower end moved to and fro by hand,
// briskly, some twenty times. Its force follows the height by a law of the spring's own, a
// quadratic and a difference between drawing and letting back; what remains in step with
// the velocity v is the lag:
//
//	F(t + lag) = a + b h(t) + c h(t)^2 + d sign(v)
//
// Height and velocity at the instants of the forces are those of [motion.Smoother]. The
// uncertainty is that of the jackknife over twelve pieces of the record, which bears that
// neighbouring heights are wrong alike.
func FromStrokes(heights, force motion.Series) (Run, error) {
	const doing = "find lag in strokes"
	s, err := motion.NewSmoother(heights.Times, heights.Values, motion.SmoothOptions{})
	if err != nil {
		return Run{}, fmt.Errorf("%s: %w", doing, err)
	}
	if len(force.Times) != len(force.Values) || len(force.Times) < pieces*leastInOne {
		return Run{}, fmt.Errorf("%s: %w: %d force readings: at least %d are needed, half a minute of strokes", doing, doubt.ErrFew, len(force.Times), pieces*leastInOne)
	}
	if !doubt.Finite(force.Values...) {
		return Run{}, fmt.Errorf("%s: %w: a force is not finite", doing, doubt.ErrNumber)
	}
	lag := 0.0
	for range 20 {
		w, err := newStroke(s, force, lag)
		if err != nil {
			return Run{}, fmt.Errorf("%s: %w", doing, err)
		}
		more := w.lag(-1)
		lag += more
		if !(math.Abs(lag) <= longestLag) {
			break
		}
		// Closer no round may come: readings cross the limit of a turn to and fro.
		if u := w.uncertainty(); math.Abs(more) < u/5 {
			if !(u < longestLag/10) {
				return Run{}, fmt.Errorf("%s: %w: the lag is uncertain by %.2g ms: move the spring more briskly", doing, motion.ErrFeeble, 1e3*u)
			}
			return Run{Lag: energy.Estimate{Value: lag, U: u}, Step: step(force.Times)}, nil
		}
	}
	return Run{}, fmt.Errorf("%s: %w: the lag does not settle within %.0f ms: does the force follow the height?", doing, doubt.ErrContradict, 1e3*longestLag)
}

const terms = 5 // of the law: 1, h, h^2, sign(v), v

// stroke holds the normal equations of the pieces, forces shifted by a lag.
type stroke struct {
	normal [pieces]mat.SymDense
	right  [pieces]mat.VecDense
	square float64 // [m2/s2] mean of the squared velocity
}

func newStroke(s *motion.Smoother, force motion.Series, lag float64) (*stroke, error) {
	var h, v, f []float64
	w := new(stroke)
	for i, t := range force.Times {
		x, speed, _ := s.At(t - int64(math.Round(lag*1e9)))
		if x.Known() && speed.Known() {
			h, v, f = append(h, x.Value), append(v, speed.Value), append(f, force.Values[i])
			w.square += speed.Value * speed.Value
		}
	}
	n := len(v)
	w.square /= float64(n)
	if rms := math.Sqrt(w.square); n < pieces*leastInOne/2 || !(rms > brisk) {
		return nil, fmt.Errorf("%w: %d readings with the height known, moving at %.2g m/s: at least %d and %g m/s needed", motion.ErrFeeble, n, rms, pieces*leastInOne/2, brisk)
	}
	middle, spread := stat.MeanStdDev(h, nil)
	for i := range w.normal {
		w.normal[i], w.right[i] = *mat.NewSymDense(terms, nil), *mat.NewVecDense(terms, nil)
	}
	for i := range v {
		if math.Abs(v[i]) < turning*math.Sqrt(w.square) {
			continue
		}
		x := (h[i] - middle) / spread
		row := mat.NewVecDense(terms, []float64{1, x, x * x, math.Copysign(1, v[i]), v[i] / spread})
		p := i * pieces / n
		w.normal[p].SymRankOne(&w.normal[p], 1, row)
		w.right[p].AddScaledVec(&w.right[p], f[i], row)
	}
	return w, nil
}

// lag returns by how much more the force lags, from all pieces but one; NaN where the law
// is not determined.
func (w *stroke) lag(without int) float64 {
	normal, right := mat.NewSymDense(terms, nil), mat.NewVecDense(terms, nil)
	for i := range w.normal {
		if i != without {
			normal.AddSym(normal, &w.normal[i])
			right.AddVec(right, &w.right[i])
		}
	}
	var cholesky mat.Cholesky
	var law mat.VecDense
	if !cholesky.Factorize(normal) || cholesky.SolveVecTo(&law, right) != nil {
		return math.NaN()
	}
	return -law.AtVec(4) / law.AtVec(1)
}

// uncertainty is that of the jackknife, the spread of few pieces widened to the standard
// deviation of Student's t.
func (w *stroke) uncertainty() float64 {
	var lags []float64
	for i := range pieces {
		lags = append(lags, w.lag(i))
	}
	const n, dof = pieces, pieces - 1
	return stat.StdDev(lags, nil) * math.Sqrt(dof*dof/float64(n)) * math.Sqrt(dof/float64(dof-2))
}

// tooSlow says why force readings a step [s] apart cannot draw a loop over a period [s],
// or nothing where they can: with 16 in a period a polygon has lost 3 % of the area.
func tooSlow(step, period float64) string {
	const readings = 16
	if period == 0 || !(step > 0) || period/step >= readings {
		return ""
	}
	return fmt.Sprintf("%.0f force readings a second are %.1f in a period of %.2f s: loops of force over extension need %d, set the converter to a higher rate", 1/step, period/step, period, readings)
}

// slowest returns the doubts of runs about the rate of the converter, each once.
func slowest(runs []Run) []string {
	var out []string
	for _, r := range runs {
		if why := tooSlow(r.Step, r.Period); why != "" && !slices.Contains(out, why) {
			out = append(out, why)
		}
	}
	return out
}
