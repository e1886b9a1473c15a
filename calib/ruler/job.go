package ruler

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy"
)

// Place is one height at which the bob hung still.
type Place struct {
	Height  energy.Estimate // [m] of the bob's lowest point above the floor, by the rule; U: reading it
	EchoUs  energy.Estimate // [us] mean round-trip time of the rest, U of the mean; zero for a sensor that states distances
	RangeMm energy.Estimate // [mm] likewise for one that does
}

// Job is all that was read to calibrate a distance sensor.
type Job struct {
	Places      []Place
	FromSupport bool            // the sensor hangs at the support and looks down
	Sound       energy.Estimate // [m/s] speed; not used where distances are stated
	Rule        float64         // [1] relative standard uncertainty of the rule's length
	Foot        float64         // [m] standard uncertainty of where the rule's zero stood
	Range       float64         // [m] of heights that the bob will move through; 0 = not stated
}

const (
	leastPlaces = 3
	unsteady    = 0.02 // [m] standard uncertainty beyond which a rest is none
)

// ranges returns the distances [m] seen at the places, with a given speed of sound.
func (j *Job) ranges(speed float64) []energy.Estimate {
	out := make([]energy.Estimate, len(j.Places))
	for i, p := range j.Places {
		half := speed * 1e-6 / 2
		out[i] = energy.Estimate{Value: half * p.EchoUs.Value, U: half * p.EchoUs.U}
		if p.EchoUs.Value == 0 {
			out[i] = energy.Estimate{Value: 1e-3 * p.RangeMm.Value, U: 1e-3 * p.RangeMm.U}
		}
	}
	return out
}

func (j *Job) echoes() int {
	n := 0
	for _, p := range j.Places {
		if p.EchoUs.Value != 0 {
			n++
		}
	}
	return n
}

func (j *Job) check() error {
	const doing = "calibrate distance"
	if n := len(j.Places); n < leastPlaces {
		return fmt.Errorf("%s: %w: %d places: at least %d are needed, better 6", doing, doubt.ErrFew, n, leastPlaces)
	}
	switch n := j.echoes(); {
	case n != 0 && n != len(j.Places):
		return fmt.Errorf("%s: %w: %d echoes of %d places: all readings must be echoes, or all distances", doing, doubt.ErrContradict, n, len(j.Places))
	case n > 0 && (!(j.Sound.Value > 300 && j.Sound.Value < 400) || !doubt.Uncertain(j.Sound.U)):
		return fmt.Errorf("%s: %w: speed of sound = %g m/s, uncertainty %g: lies between 300 and 400 m/s", doing, doubt.ErrUnit, j.Sound.Value, j.Sound.U)
	case !doubt.Uncertain(j.Rule) || !doubt.Uncertain(j.Foot) || !doubt.Uncertain(j.Range):
		return fmt.Errorf("%s: %w: uncertainty of the rule %g, of its foot %g m, range %g m: must be zero or positive", doing, doubt.ErrNumber, j.Rule, j.Foot, j.Range)
	}
	heights := make(map[float64]bool)
	for i, d := range j.ranges(j.Sound.Value) {
		h := j.Places[i].Height
		switch {
		case !doubt.Finite(d.Value, h.Value) || !doubt.Uncertain(d.U) || !doubt.Uncertain(h.U):
			return fmt.Errorf("%s: place %d: %w: height %g m, distance %g m: must be numbers with uncertainties", doing, i+1, doubt.ErrNumber, h.Value, d.Value)
		case !(h.U > 0):
			return fmt.Errorf("%s: place %d: %w: uncertainty of the height is zero: no rule is read exactly, a reading to 1 mm has 0.3 mm", doing, i+1, doubt.ErrNumber)
		case !(d.Value > 0.005 && d.Value < 20) || !(math.Abs(h.Value) < 20):
			return fmt.Errorf("%s: place %d: %w: height %g m, distance %g m: must not be above 20 m", doing, i+1, doubt.ErrUnit, h.Value, d.Value)
		case d.U > unsteady || h.U > unsteady:
			return fmt.Errorf("%s: place %d: %w: uncertain by %.2g m: wait until the bob hangs still", doing, i+1, doubt.ErrUnsteady, max(d.U, h.U))
		}
		heights[h.Value] = true
	}
	if n := len(heights); n < leastPlaces {
		return fmt.Errorf("%s: %w: %d different heights: at least %d are needed, better 6", doing, doubt.ErrFew, n, leastPlaces)
	}
	return nil
}

// points are distances, counted so that heights rise with them, and heights.
func (j *Job) points(speed, rule float64) []fit.Point {
	sign := 1.0
	if j.FromSupport {
		sign = -1
	}
	var out []fit.Point
	for i, d := range j.ranges(speed) {
		h := j.Places[i].Height
		out = append(out, fit.Point{X: sign * d.Value, UX: d.U, Y: rule * h.Value, UY: h.U})
	}
	return out
}
