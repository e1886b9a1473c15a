package ruler

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy"
)

// The values of [Result.Joint].
const (
	Offset = iota // [m]
	Scale         // [1]
)

// Result is a distance sensor's calibration.
type Result struct {
	fit.Joint             // offset, scale
	Agreement   float64   // [1] probability that the stated uncertainties give residuals as large as these or larger
	Residuals   []float64 // [m] height by the rule less height by the sensor, in the order of the places
	Scatter     float64   // [m] standard deviation of the residuals
	FromSupport bool

	Doubts doubt.Notes
}

// disagreement is the probability below which readings are taken to scatter more than
// was stated; the covariance then follows what is seen.
const disagreement = 0.05

// Calibrate works out a [Job].
func Calibrate(j Job) (*Result, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	line := func(speed, rule float64) (fit.Curve, error) {
		c, err := fit.BothAxes(j.points(speed, rule))
		if err != nil {
			return c, fmt.Errorf("calibrate distance: %w: %w", doubt.ErrContradict, err)
		}
		return c, nil
	}
	c, err := line(j.Sound.Value, 1)
	if err != nil {
		return nil, err
	}
	switch scale := c.Coefficients[1]; {
	case scale < 0:
		return nil, fmt.Errorf("calibrate distance: %w: the distance falls where it should rise: is the sensor on the floor or at the support?", doubt.ErrContradict)
	case !(scale > 0.8 && scale < 1.25):
		return nil, fmt.Errorf("calibrate distance: %w: a metre of the sensor is %.4g m by the rule: are all heights in metres?", doubt.ErrUnit, scale)
	}
	r := &Result{Agreement: c.Agreement(), Residuals: c.Residuals, FromSupport: j.FromSupport}
	r.Joint = fit.Joint{Values: c.Coefficients, Own: c.Covariance, DoF: math.Inf(1)}
	for _, v := range c.Residuals {
		r.Scatter += v * v / float64(c.DoF)
	}
	r.Scatter = math.Sqrt(r.Scatter)
	if r.Agreement < disagreement {
		r.Joint = r.Scaled(math.Sqrt(c.SumSquares/float64(c.DoF)), float64(c.DoF))
	}
	if j.echoes() > 0 {
		err = r.moved("speed of sound", func(by float64) (fit.Curve, error) { return line(j.Sound.Value+by*j.Sound.U, 1) })
	}
	if err == nil {
		err = r.moved("rule", func(by float64) (fit.Curve, error) { return line(j.Sound.Value, 1+by*j.Rule) })
	}
	if err != nil {
		return nil, err
	}
	r.Sources = append(r.Sources, fit.Source{Name: "foot of the rule", Effects: []float64{j.Foot, 0}})
	r.judge(&j, &c)
	return r, nil
}

// moved adds a source: half of what its input does to the results, raised and lowered by
// one standard uncertainty.
func (r *Result) moved(name string, line func(by float64) (fit.Curve, error)) error {
	up, err := line(1)
	if err != nil {
		return err
	}
	down, err := line(-1)
	if err != nil {
		return err
	}
	effects := make([]float64, len(r.Values))
	for k := range effects {
		effects[k] = (up.Coefficients[k] - down.Coefficients[k]) / 2
	}
	r.Sources = append(r.Sources, fit.Source{Name: name, Effects: effects})
	return nil
}

// judge adds the doubts.
func (r *Result) judge(j *Job, c *fit.Curve) {
	n := &r.Doubts
	if c.DoF < 3 {
		n.Add(doubt.Few, "%d places for two numbers: a slip would hardly show, take 6", len(j.Places))
	}
	if r.Agreement < disagreement {
		n.Add(doubt.Scatter, "heights by rule and sensor differ by %.2g m (standard deviation), more than their uncertainties allow (probability %.2g): the scatter seen is used", r.Scatter, r.Agreement)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range j.Places {
		low, high = min(low, p.Height.Value), max(high, p.Height.Value)
	}
	if j.Range > 0 && high-low < j.Range/2 {
		n.Add(doubt.Narrow, "the places lie within %.2g m of a range of %.2g m: the scale is carried beyond them", high-low, j.Range)
	}
	if s := r.Values[Scale]; math.Abs(s-1) > math.Max(0.02, 3*r.U(Scale)) {
		n.Add(doubt.Scale, "a metre of the sensor is %.4f m by the rule: check the speed of sound, the rule, and that the sensor sees the bob", s)
	}
	points := j.points(j.Sound.Value, 1)
	line, err1 := fit.Ordinary(points, fit.Line)
	curve, err2 := fit.Ordinary(points, fit.Quadratic)
	if err1 == nil && err2 == nil && len(points) > 4 {
		if f, p, err := fit.Curvature(&line, &curve); err == nil && p < 0.01 {
			n.Add(doubt.Bent, "the places lie on a curve (F = %.1f, probability %.2g): is there something beside the bob that the sensor sees?", f, p)
		}
	}
	if g, err := fit.Grubbs(r.Residuals, 0.01, fit.EitherSide); err == nil && g.Outlier {
		n.Add(doubt.Odd, "place %d stands apart by %.2g m: look at what happened, it was kept", g.Index+1, math.Abs(r.Residuals[g.Index]))
	}
}

// Height returns the height [m] that a distance [m] means, with the uncertainty of the
// calibration.
func (r *Result) Height(distance float64) energy.Estimate {
	if r.FromSupport {
		distance = -distance
	}
	out := r.Through(func(x []float64) []float64 { return []float64{x[Offset] + x[Scale]*distance} })
	return energy.Estimate{Value: out.Values[0], U: out.U(0)}
}

// Relative returns what makes differences of height wrong in proportion: for each source
// the relative change of the scale when its input is stated higher by one standard
// uncertainty, and the scatter of this calibration as a source of its own.
func (r *Result) Relative() []fit.Source {
	scale := r.Values[Scale]
	out := []fit.Source{{Name: "readings of the distance calibration", Effects: []float64{math.Sqrt(r.Own[Scale][Scale]) / scale}}}
	for _, s := range r.Sources {
		out = append(out, fit.Source{Name: s.Name, Effects: []float64{s.Effects[Scale] / scale}})
	}
	return out
}

// Summary says in a paragraph what came out.
func (r *Result) Summary() string {
	from, sign := "the floor", "+"
	if r.FromSupport {
		from, sign = "the support", "-"
	}
	return fmt.Sprintf("Seen from %s, height = %.5g m %s %.5g times the distance; standard uncertainties %.2g m and %.2g. "+
		"Rule and sensor differ by %.2g m (standard deviation of %d places). The speed of sound and the rule are in the uncertainties, and are no scatter.",
		from, r.Values[Offset], sign, r.Values[Scale], r.U(Offset), r.U(Scale), r.Scatter, len(r.Residuals))
}
