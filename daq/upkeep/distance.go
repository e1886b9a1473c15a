package upkeep

import (
	"fmt"
	"math"

	"joulewell/calib"
	"joulewell/calib/ruler"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// distance calibrates the ranging sensor by a rule.
func (t *Table) distance(f *setup.File) (*Finding, error) {
	b := &f.Bench
	job := ruler.Job{FromSupport: b.Calibration.Distance.Mounting == calib.Support, Range: b.Apparatus.Support.Value / 2}
	sound := t.Sound
	if sound.Value == 0 {
		sound = calib.SpeedOfSound(b.Calibration.Air.Temperature, energy.None())
	}
	job.Sound = sound
	noise := 0.0
	for i, p := range t.Points {
		height, err := length(p.Rule, "height")
		if err != nil {
			return nil, fmt.Errorf("point %d: %w", i+1, err)
		}
		place := ruler.Place{Height: height}
		if t.Indication == Microsecs {
			place.EchoUs = p.Reading
		} else {
			place.RangeMm = p.Reading
		}
		job.Places = append(job.Places, place)
		noise += p.Noise * p.Noise / float64(len(t.Points))
	}
	r, err := ruler.Calibrate(job)
	if err != nil {
		return nil, err
	}
	offset, pivot := pivoted(r)
	scale := energy.Estimate{Value: r.Values[ruler.Scale], U: r.U(ruler.Scale)}
	const milli = 1e-3
	found := &Finding{Summary: r.Summary(), Doubts: r.Doubts, AsLeft: map[string]any{
		"distance_scale": digits(scale.Value, scale.U), "distance_scale_u": digits(scale.U, scale.U),
		"distance_offset_mm": digits(offset.Value/milli, offset.U/milli), "distance_offset_u_mm": digits(offset.U/milli, offset.U/milli),
		"distance_pivot_mm": digits(pivot/milli, 1),
	}}
	if noise > 0 {
		n := math.Sqrt(noise)
		if t.Indication == Microsecs {
			n *= sound.Value * 1e-6 / 2 / milli
		}
		n *= scale.Value
		found.AsLeft["distance_noise_mm"] = digits(n, n/10)
	}
	found.Figures = []Figure{
		figure("offset", r.Values[ruler.Offset]/milli, r.U(ruler.Offset)/milli, "mm"),
		figure("scale", scale.Value, scale.U, ""),
		figure("height where it is known best", offset.U/milli, math.NaN(), "mm"),
		figure("scatter about the line", r.Scatter/milli, math.NaN(), "mm"),
	}
	for i, off := range r.Residuals {
		found.Residuals = append(found.Residuals, Residual{i, job.Places[i].Height.Value, off})
	}
	return found, nil
}

// pivoted returns the offset [m] with the uncertainty of the height at the distance, the
// pivot [m], from which the scale's doubt counts: there the two have nothing in common.
func pivoted(r *ruler.Result) (offset energy.Estimate, pivot float64) {
	v := r.Covariance()
	at := 0.0 // [m] of distance before the scale
	if v[ruler.Scale][ruler.Scale] > 0 {
		at = -v[ruler.Offset][ruler.Scale] / v[ruler.Scale][ruler.Scale]
	}
	if r.FromSupport {
		at = -at
	}
	at = max(at, 0)
	sign := 1.0
	if r.FromSupport {
		sign = -1
	}
	square := v[ruler.Offset][ruler.Offset] + 2*sign*at*v[ruler.Offset][ruler.Scale] + at*at*v[ruler.Scale][ruler.Scale]
	return energy.Estimate{Value: r.Values[ruler.Offset], U: math.Sqrt(max(0, square))}, at * r.Values[ruler.Scale]
}
