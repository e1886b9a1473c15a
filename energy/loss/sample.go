package loss

import (
	"errors"
	"fmt"
	"math"

	"joulewell/energy"
)

// Refusals that a caller may want to tell apart.
var (
	ErrSamples = errors.New("unusable samples")
	ErrStill   = errors.New("no swing seen")
	ErrFew     = errors.New("too few turning points")
)

// Numbers that no bench has: an uncertainty less than this [m, m/s, N or s] is smaller
// than the atoms of the bob, a quantity larger than the other is no laboratory's.
const (
	least = 1e-12
	most  = 1e6
)

// measurable reports whether an estimate can have been measured.
func measurable(e energy.Estimate) bool {
	return math.Abs(e.Value) <= most && e.U >= least && e.U <= most
}

// Sample is the motion at one instant, as a smoother gives it after the run. Its
// uncertainties are those of the scatter alone: what all samples share (a sensor's
// offset or scale) belongs to [Entries], where differences are taken.
type Sample struct {
	T          float64         // [s] since the run began, later than the sample before
	Extension  energy.Estimate // [m] from the spring's natural length, positive downward; absent where the smoother has no answer
	Velocity   energy.Estimate // [m/s] rate of change of the extension: positive DOWNWARD
	Covariance float64         // [m2/s] of extension and velocity
	Gap        bool            // what happened since the sample before is not known
}

// Point is force against extension at one instant, both channels brought to it.
type Point struct {
	T         float64 // [s] since the run began
	Extension float64 // [m]
	Force     float64 // [N] tension, positive when the spring pulls
}

func (s *Sample) absent() bool { return math.IsNaN(s.Extension.Value) || math.IsNaN(s.Velocity.Value) }

// check refuses a sample that no smoother could mean. An absent one passes.
func (s *Sample) check(i int, before float64) error {
	if !(s.T > before && math.Abs(s.T) <= 1e3*most) {
		return fmt.Errorf("%w: sample %d: time %g s: must be later than the one before it, at %g s", ErrSamples, i, s.T, before)
	}
	if s.absent() {
		return nil
	}
	x, v := &s.Extension, &s.Velocity
	switch {
	case !measurable(*x) || !measurable(*v):
		return fmt.Errorf("%w: sample %d: extension %g m with uncertainty %g m, velocity %g m/s with uncertainty %g m/s: must be finite, uncertainties positive",
			ErrSamples, i, x.Value, x.U, v.Value, v.U)
	case !(math.Abs(s.Covariance) <= x.U*v.U*(1+1e-9)):
		return fmt.Errorf("%w: sample %d: covariance %g m2/s: must not pass the product of the uncertainties, %g m2/s",
			ErrSamples, i, s.Covariance, x.U*v.U)
	}
	return nil
}

// broken reports whether the path from the sample before i to sample i is unknown.
func broken(samples []Sample, i int) bool {
	return samples[i].Gap || samples[i].absent() || samples[i-1].absent()
}
