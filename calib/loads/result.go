package loads

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy"
)

// Result is a load cell's calibration:
//
//	force = span n + quadratic n^2,  n = counts - zero
type Result struct {
	fit.Joint           // zero, span, quadratic, the last zero where a line suffices
	Bent        bool    // the readings ask for the quadratic term
	F           float64 // [1] square of the quadratic term over its uncertainty
	Probability float64 // [1] that scatter alone gives such an F or more; NaN where loads are too few to tell

	Scatter   float64         // [N] standard deviation of one reading about the curve
	Residuals []float64       // [N] force by the curve less force of the load, in the order of the readings
	Drift     energy.Estimate // [counts/s] of the zero; NaN where tare readings do not tell it

	Largest  float64 // [N] the largest load
	Capacity float64 // [N] of the cell; 0 = not stated

	Repeatability energy.Estimate // [N] largest difference of readings repeated from the same side (ISO 376: b'); NaN = none repeated
	Reversibility energy.Estimate // [N] largest difference between a load reached from above and from below (ISO 376: v)
	NonLinearity  energy.Estimate // [N] largest distance of the curve from the best straight line
	ZeroReturn    energy.Estimate // [N] last unloaded reading less the first (ISO 376: f0)
	Creep         energy.Estimate // [N] change under the largest load from 30 s on (ISO 376: c)
	LowerLimit    float64         // [N] 2.4 standard deviations of the residuals (ASTM E74: lower limit factor)

	Doubts doubt.Notes
}

// Share returns a force as a fraction of the largest load and of the capacity, the latter
// NaN where it is not stated.
func (r *Result) Share(force float64) (ofLargest, ofCapacity float64) {
	ofCapacity = math.NaN()
	if r.Capacity > 0 {
		ofCapacity = force / r.Capacity
	}
	return force / r.Largest, ofCapacity
}

// Force returns the force [N] that counts mean above the zero of the moment, with the
// uncertainty of the curve.
func (r *Result) Force(counts float64) energy.Estimate {
	n := counts - r.Values[Zero]
	out := r.Through(func(x []float64) []float64 { return []float64{n * (x[Span] + n*x[Quadratic])} })
	return energy.Estimate{Value: out.Values[0], U: out.U(0)}
}

// Uncertainty returns the standard uncertainty [N] of a force measured under a load [N] with a
// zero taken just before: curve, scatter of one reading, and reversibility, whose sign
// is not known in use (rectangular, half of it to either side).
func (r *Result) Uncertainty(load float64) float64 {
	n := load / r.Values[Span]
	n -= r.Values[Quadratic] * n * n / r.Values[Span]
	half := 0.0
	if r.Reversibility.Known() {
		half = fit.Rectangular(math.Abs(r.Reversibility.Value) / 2)
	}
	return math.Sqrt(math.Pow(r.Force(r.Values[Zero]+n).U, 2) + r.Scatter*r.Scatter + half*half)
}

// Relative returns what makes forces wrong in proportion: for each source the relative
// change of the span when its input is stated higher by one standard uncertainty, and
// the scatter of this calibration as a source of its own.
func (r *Result) Relative() []fit.Source {
	span := r.Values[Span]
	out := []fit.Source{{Name: "readings of the force calibration", Effects: []float64{math.Sqrt(r.Own[Span][Span]) / span}}}
	for _, s := range r.Sources {
		out = append(out, fit.Source{Name: s.Name, Effects: []float64{s.Effects[Span] / span}})
	}
	return out
}

// Summary says in a paragraph what came out.
func (r *Result) Summary() string {
	form := "A straight line describes the readings"
	if r.Bent {
		form = fmt.Sprintf("The readings are bent: a quadratic term is needed (F = %.1f, probability %.2g)", r.F, r.Probability)
	} else if !math.IsNaN(r.Probability) {
		form += fmt.Sprintf(" (a quadratic term: F = %.1f, probability %.2g)", r.F, r.Probability)
	}
	u := r.Uncertainty(r.Largest)
	of, capacity := r.Share(u)
	size := fmt.Sprintf("%.2g of the largest load", of)
	if !math.IsNaN(capacity) {
		size += fmt.Sprintf(", %.2g of the capacity", capacity)
	}
	return fmt.Sprintf("%s. One count means %.6g N with a standard uncertainty of %.2g N. At %.4g N a force is known to %.2g N (standard uncertainty, %s); "+
		"readings scatter by %.2g N. The characteristics are named as in ISO 376 and ASTM E74, whose loads and mountings were not kept: this earns no class of either.",
		form, r.Values[Span], r.U(Span), r.Largest, u, size, r.Scatter)
}
