package upkeep

import (
	"fmt"
	"math"

	"joulewell/calib/fit"
	"joulewell/calib/loads"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// force calibrates the load cell by check masses.
func (t *Table) force(f *setup.File, c *Cabinet) (*Finding, error) {
	cell := &f.Bench.Calibration.Force
	job := loads.Job{Capacity: cell.Max}
	if span := cell.Span.Value; t.Indication == Counts && span != 1 || t.Indication == Newtons {
		job.Nominal = span
	}
	noise := 0.0
	var points []int // of the readings
	for i, p := range t.Points {
		if p.Hold > 0 {
			job.Hold = append(job.Hold, loads.Moment{T: p.Hold, Counts: p.Reading.Value})
			continue
		}
		points = append(points, i)
		load, err := c.load(p.Load)
		if err != nil {
			return nil, fmt.Errorf("point %d: %w", i+1, err)
		}
		job.Readings = append(job.Readings, loads.Reading{T: p.At, Load: load, Counts: p.Reading.Value, U: p.Reading.U})
		noise += p.Noise * p.Noise / float64(len(t.Points))
	}
	job.Masses = c.set
	r, err := loads.Calibrate(job)
	if err != nil {
		return nil, err
	}
	unit := string(t.Indication)
	span, zero := r.Values[loads.Span], energy.Estimate{Value: r.Values[loads.Zero], U: r.U(loads.Zero)}
	if rev := r.Reversibility; rev.Known() {
		// Whether a load was reached from below or above is not known in use.
		zero.U = math.Hypot(zero.U, fit.Rectangular(math.Abs(rev.Value)/2)/math.Abs(span))
	}
	found := &Finding{Summary: r.Summary(), Doubts: r.Doubts, AsLeft: map[string]any{
		"force_zero_counts": digits(zero.Value, zero.U), "force_zero_u_counts": digits(zero.U, zero.U),
		"force_span_N_per_count": digits(span, r.U(loads.Span)), "force_span_u_N_per_count": digits(r.U(loads.Span), r.U(loads.Span)),
		"force_bend_N_per_count2": 0.0, "force_bend_u_N_per_count2": 0.0, "force_span_bend_correlation": 0.0,
	}}
	if r.Bent {
		bend, u := r.Values[loads.Quadratic], r.U(loads.Quadratic)
		cov := r.Covariance()
		found.AsLeft["force_bend_N_per_count2"], found.AsLeft["force_bend_u_N_per_count2"] = digits(bend, u), digits(u, u)
		found.AsLeft["force_span_bend_correlation"] = digits(cov[loads.Span][loads.Quadratic]/(r.U(loads.Span)*u), 0.01)
	}
	if noise > 0 {
		n := math.Sqrt(noise) * math.Abs(span)
		found.AsLeft["force_noise_N"] = digits(n, n/10)
	}
	found.Figures = []Figure{
		figure("zero", zero.Value, zero.U, unit),
		figure("span", span, r.U(loads.Span), "N/"+unit),
		figure("uncertainty at the largest load", r.Uncertainty(r.Largest), math.NaN(), "N"),
	}
	for _, q := range []struct {
		name string
		e    energy.Estimate
	}{
		{"non-linearity", r.NonLinearity}, {"reversibility", r.Reversibility}, {"repeatability", r.Repeatability},
		{"return of zero", r.ZeroReturn}, {"creep", r.Creep},
	} {
		if q.e.Known() {
			share, _ := r.Share(q.e.Value)
			found.Figures = append(found.Figures, Figure{q.name, q.e.Value, q.e.U, "N", share})
		}
	}
	for i, off := range r.Residuals {
		at, err := c.set.Force(job.Readings[i].Load)
		if err != nil {
			return nil, err
		}
		found.Residuals = append(found.Residuals, Residual{points[i], at, off})
	}
	return found, nil
}
