package loss

import (
	"fmt"
	"math"

	"joulewell/energy"
)

// held returns the place where the bob was held as the run's first turning point,
// and the number of the first sample after the release. Its side is filled in when
// the first turn is known.
func held(samples []Sample, o Options) (Turning, int, error) {
	if !(o.HeldFrom < o.HeldTo) {
		return Turning{}, 0, fmt.Errorf("held from %g s to %g s: must end after it begins", o.HeldFrom, o.HeldTo)
	}
	var t []float64
	var sum, u float64
	moving := 0
	next := 0
	before := math.Inf(-1)
	for i := range samples {
		s := &samples[i]
		if err := s.check(i, before); err != nil {
			return Turning{}, 0, err
		}
		before = s.T
		if s.T > o.HeldTo {
			break
		}
		next = i + 1
		if s.T < o.HeldFrom || s.absent() {
			continue
		}
		if math.Abs(s.Velocity.Value) > hysteresis*s.Velocity.U {
			moving++
		}
		t = append(t, s.T)
		u += s.Extension.U
		sum += s.Extension.Value
	}
	if len(t) < 3 {
		return Turning{}, 0, fmt.Errorf("%w: %d samples while held from %g s to %g s: at least 3 needed", ErrSamples, len(t), o.HeldFrom, o.HeldTo)
	}
	if moving > len(t)/10 {
		return Turning{}, 0, fmt.Errorf("%w: bob moves in %d of %d samples while held from %g s to %g s: shorten the stretch",
			ErrSamples, moving, len(t), o.HeldFrom, o.HeldTo)
	}
	n := float64(len(t))
	return Turning{
		T:         energy.Estimate{Value: t[len(t)-1], U: (t[len(t)-1] - t[0]) / (n - 1)},
		Extension: energy.Estimate{Value: sum / n, U: u / n},
		Release:   true,
	}, next, nil
}
