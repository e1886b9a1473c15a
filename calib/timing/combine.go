package timing

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy/quantity"
)

// The values of [Result.Joint].
const (
	Lag   = iota // [s] of the force behind the distance
	Share        // [1] of the decay that brakes in step with the velocity; not there when no run decays
)

// Result is the lag of all runs together.
type Result struct {
	fit.Joint           // lag and, where friction may have a part, its share
	Birge     float64   // [1] how many times the runs scatter as much as they state; NaN of a single one
	Agreement float64   // [1] probability of such a scatter or more; NaN of a single run
	Residuals []float64 // [s] of each run
	Doubts    doubt.Notes
}

// disagreement is the probability below which runs are taken to scatter more than they
// state; their uncertainties then follow what is seen.
const disagreement = 0.05

// Combine finds the lag common to all runs. A run shows lag + share * feigned, with one
// share for all, between 0 and 1: beforehand 1/2, rectangular. Runs that are feigned a lag
// of different length tell the share, others leave it as it was.
func Combine(runs []Run) (*Result, error) {
	const doing = "combine lags"
	if len(runs) == 0 {
		return nil, fmt.Errorf("%s: %w: no run: at least one is needed, better three", doing, doubt.ErrFew)
	}
	friction := 0.0
	for i, r := range runs {
		switch {
		case !doubt.Finite(r.Lag.Value, r.Feigned.Value) || !(r.Lag.U > 0) || !doubt.Uncertain(r.Lag.U) || !doubt.Uncertain(r.Feigned.U) || !(r.Feigned.Value >= 0):
			return nil, fmt.Errorf("%s: run %d: %w: lag %g s, uncertainty %g s, feigned %g s", doing, i+1, doubt.ErrNumber, r.Lag.Value, r.Lag.U, r.Feigned.Value)
		case math.Abs(r.Lag.Value) > 1 || r.Feigned.Value > 1:
			return nil, fmt.Errorf("%s: run %d: %w: lag %g s, feigned %g s: must be below 1 s", doing, i+1, doubt.ErrUnit, r.Lag.Value, r.Feigned.Value)
		}
		friction = max(friction, r.Feigned.Value)
	}
	f, err := together(runs, friction > 0, 1)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", doing, err)
	}
	out := &Result{Birge: math.NaN(), Agreement: math.NaN()}
	if f.Spare > 0 {
		out.Birge, out.Agreement = math.Sqrt(f.SumSquares/float64(f.Spare)), f.Agreement()
	}
	if out.Agreement < disagreement {
		if f, err = together(runs, friction > 0, out.Birge); err != nil {
			return nil, fmt.Errorf("%s: %w", doing, err)
		}
		f.DoF = float64(f.Spare)
		out.Doubts.Add(doubt.Scatter, "the runs differ %.2g times as much as they state (probability %.2g): the scatter seen is used", out.Birge, out.Agreement)
	}
	out.Joint, out.Residuals = f.Joint, f.Residuals[:len(runs)]
	out.judge(runs, friction)
	return out, nil
}

// together fits lag and share, with what is known of the share beforehand as one more
// reading.
func together(runs []Run, friction bool, wider float64) (fit.Regression, error) {
	var rows [][]float64
	var y, u []float64
	for _, r := range runs {
		row := []float64{1}
		if friction {
			row = append(row, r.Feigned.Value)
		}
		rows, y, u = append(rows, row), append(y, r.Lag.Value), append(u, wider*math.Hypot(r.Lag.U, r.Feigned.U/2))
	}
	if friction {
		rows, y, u = append(rows, []float64{0, 1}), append(y, 0.5), append(u, fit.Rectangular(0.5))
	}
	return fit.Stated(rows, y, u, nil)
}

func (r *Result) judge(runs []Run, friction float64) {
	n := &r.Doubts
	if len(runs) < 3 {
		n.Add(doubt.Few, "%s: whether they repeat is hardly seen, take three", quantity.Count(len(runs), "run"))
	}
	if friction > 0 && friction*r.U(Share) > 0.5*r.U(Lag) {
		n.Add(doubt.Friction, "up to %.2g ms of the lag may be friction: add strokes by hand without a bob, or a bob with less drag", 1e3*friction)
	}
	for _, why := range slowest(runs) {
		n.Add(doubt.Slow, "%s", why)
	}
}

// Summary says in a paragraph what came out.
func (r *Result) Summary() string {
	s := fmt.Sprintf("The force lags behind the distance by %.2f ms with a standard uncertainty of %.2g ms, from %s", 1e3*r.Values[Lag], 1e3*r.U(Lag), quantity.Count(len(r.Residuals), "run"))
	if !math.IsNaN(r.Birge) {
		s += fmt.Sprintf(" that scatter %.2g times as much as they state (Birge ratio)", r.Birge)
	}
	if len(r.Values) > Share {
		s += fmt.Sprintf(". Of what decays, a share of %.2g (standard uncertainty %.2g) is taken to brake in step with the velocity and to feign a lag", r.Values[Share], r.U(Share))
	}
	return s + "."
}
