package timing

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/energy"
	"joulewell/energy/motion"
)

// Run is what one record says of the lag.
type Run struct {
	Lag     energy.Estimate // [s] of the force behind the distance
	Feigned energy.Estimate // [s] by which friction may make it seem longer, at most
	Step    float64         // [s] between two force readings
	Period  float64         // [s] of the motion; 0 = no swing
}

// FromSwing finds the lag in the record of a free swing of a period [s] whose amplitude
// decays at a rate [1/s], by Newton's second law alone ([motion.FindDelay]).
func FromSwing(heights, force motion.Series, period float64, decay energy.Estimate) (Run, error) {
	const doing = "find lag in a swing"
	switch {
	case !(period > 0 && period < 20):
		return Run{}, fmt.Errorf("%s: %w: period %g s: must lie between 0 and 20 s", doing, doubt.ErrUnit, period)
	case !(decay.Value >= 0) || !doubt.Finite(decay.Value) || !doubt.Uncertain(decay.U):
		return Run{}, fmt.Errorf("%s: %w: decay %g 1/s, uncertainty %g: must be zero or positive", doing, doubt.ErrNumber, decay.Value, decay.U)
	}
	found, err := motion.FindDelay(heights, force, period/2)
	if err != nil {
		return Run{}, fmt.Errorf("%s: %w", doing, err)
	}
	omega := 2 * math.Pi / period
	return Run{
		Lag:     found.Lag,
		Feigned: energy.Estimate{Value: 2 * decay.Value / (omega * omega), U: 2 * decay.U / (omega * omega)},
		Step:    step(force.Times),
		Period:  period,
	}, nil
}

// step is the mean time [s] between readings.
func step(times []int64) float64 {
	n := len(times) - 1
	if n < 1 {
		return math.NaN()
	}
	return float64(times[n]-times[0]) * 1e-9 / float64(n)
}
