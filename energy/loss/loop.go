package loss

import (
	"fmt"
	"math"
	"sort"

	"joulewell/energy"
)

// Channels say how good the force and extension of [Point] are.
type Channels struct {
	Force     float64         // [N] standard deviation of one force reading
	Extension float64         // [m] standard deviation of one extension
	Memory    float64         // [s] how long the extensions' deviations stay alike: for a smoother that turns readings of deviation s, dt apart, into deviation u it is dt (s/u)^2; 0 = each for itself
	Delay     energy.Estimate // [s] by which the force still lags the extension; taken out
	Scale     float64         // [1] relative standard uncertainty of force times extension, from both calibrations
	Settling  float64         // [s] time the force converter takes to settle after a step
	MassRatio float64         // [1] spring's mass over bob's, for a load cell at the support; 0 for a light spring or a cell at the bob
}

// Loop is one closed cycle of force over extension.
type Loop struct {
	From, To float64         // [s] turning points on the same side
	Work     energy.Estimate // [J] that the spring did not give back
	Noise    float64         // [J] part of the uncertainty that is new with every cycle
	Shared   float64         // [J] part that is the same with every cycle: delay, scale, shape
	waves    float64         // [J] bound of what waves in the coils feign, over any number of cycles
	square   float64         // [m2] of the amplitude
}

// LoopSet is what force against extension tells of the loss inside the spring.
type LoopSet struct {
	Loops    []Loop
	Skipped  int             // [1] cycles left out: too few points, a gap in them, or a lost turning point
	PerCycle energy.Estimate // [J] mean work of a cycle
	TooSlow  string          // why the force channel cannot be trusted at this motion; empty if it can
	Lag      float64         // [s] by which the support feels the bob late, through the coils
	Ripple   float64         // [N] by which the force at the support may differ from the slow-stretch force
}

// fewest points of a cycle that enclose a loop worth the name.
const fewest = 8

// Loops returns the work that the spring did not give back in each cycle between
// turning points on the same side: the closed integral of force over extension, by
// trapezia over the points in order of time, closed by a chord. For a linear spring
// the chord also takes off what the decay of the swing changes in the stored energy.
//
// A force that lags by a time d changes the integral by -d times the integral of
// (dF/dt) dX, for a spring about pi k A^2 omega d. The stated delay is taken out and
// its uncertainty, the same in every cycle, carried along. So is the work that the mass
// of the coils feigns at the support while the swing decays, a sixth of the mass ratio
// times the loss. The lag may be at most a
// twentieth of a radian of the motion: take out more than that beforehand.
//
// It returns an error that wraps [ErrSamples] for unusable points and [ErrFew] where
// no whole cycle lies in them.
func Loops(points []Point, record []Turning, c Channels) (LoopSet, error) {
	if err := c.check(); err != nil {
		return LoopSet{}, fmt.Errorf("measure loops: %w", err)
	}
	usual, err := spacing(points)
	if err != nil {
		return LoopSet{}, fmt.Errorf("measure loops: %w", err)
	}
	period, err := Period(record)
	if err != nil {
		return LoopSet{}, fmt.Errorf("measure loops: %w", err)
	}
	if omega := 2 * math.Pi / period.Value; math.Abs(c.Delay.Value)*omega > 0.05 {
		return LoopSet{}, fmt.Errorf("measure loops: force lags by %g s, %.2g rad of the motion: take the delay out beforehand to within 0.05 rad",
			c.Delay.Value, c.Delay.Value*omega)
	}
	set := LoopSet{TooSlow: c.tooSlow(usual, period.Value)}
	for i := 0; i+2 < len(record); {
		a, b := &record[i], &record[i+2]
		if b.Index != a.Index+2 || a.Release {
			i++
			set.Skipped++
			continue
		}
		from := sort.Search(len(points), func(i int) bool { return points[i].T >= a.T.Value })
		to := sort.Search(len(points), func(i int) bool { return points[i].T >= b.T.Value })
		cycle := points[from:to]
		if whole(cycle, usual, a.T.Value, b.T.Value) {
			set.Loops = append(set.Loops, c.loop(cycle, a, &record[i+1], b))
		} else {
			set.Skipped++
		}
		i += 2
	}
	if len(set.Loops) == 0 && set.TooSlow != "" {
		return LoopSet{}, fmt.Errorf("measure loops: %w: %s", ErrFew, set.TooSlow)
	}
	if len(set.Loops) == 0 {
		return LoopSet{}, fmt.Errorf("measure loops: %w: no cycle with at least %d points and no gap", ErrFew, fewest)
	}
	set.PerCycle = set.total()
	n := float64(len(set.Loops))
	set.PerCycle.Value /= n
	set.PerCycle.U /= n
	set.Lag, set.Ripple = c.support(points, set.Loops, period.Value)
	return set, nil
}

func (c Channels) check() error {
	for _, q := range []struct {
		name, unit string
		value      float64
		zero       bool // zero is allowed
	}{
		{"deviation of the force", "N", c.Force, false},
		{"deviation of the extension", "m", c.Extension, false},
		{"uncertainty of the delay", "s", c.Delay.U, false},
		{"relative uncertainty of the scale", "", c.Scale, true},
		{"memory of the extension", "s", c.Memory, true},
		{"settling time", "s", c.Settling, true},
		{"mass ratio", "", c.MassRatio, true},
	} {
		if !(q.value >= least && q.value <= most) && !(q.value == 0 && q.zero) {
			return fmt.Errorf("%w: %s = %g %s: must be positive", ErrSamples, q.name, q.value, q.unit)
		}
	}
	if math.IsNaN(c.Delay.Value) || math.IsInf(c.Delay.Value, 0) {
		return fmt.Errorf("%w: delay = %g s: must be finite", ErrSamples, c.Delay.Value)
	}
	return nil
}

// spacing checks the points and returns their usual distance in time [s].
func spacing(points []Point) (float64, error) {
	if len(points) < fewest {
		return 0, fmt.Errorf("%w: %d points: at least %d needed", ErrSamples, len(points), fewest)
	}
	steps := make([]float64, len(points)-1)
	for i, p := range points {
		if !(math.Abs(p.Force) <= most && math.Abs(p.Extension) <= most && math.Abs(p.T) <= 1e3*most) {
			return 0, fmt.Errorf("%w: point %d: %g s, %g m, %g N: must be finite", ErrSamples, i, p.T, p.Extension, p.Force)
		}
		if i > 0 {
			steps[i-1] = p.T - points[i-1].T
			if !(steps[i-1] > 0) {
				return 0, fmt.Errorf("%w: point %d: time %g s is not later than %g s before it", ErrSamples, i, p.T, points[i-1].T)
			}
		}
	}
	return median(steps), nil
}

// whole reports whether the points of a cycle from one instant to another leave no gap.
func whole(cycle []Point, usual, from, to float64) bool {
	if len(cycle) < fewest {
		return false
	}
	last := from
	for _, p := range cycle {
		if p.T-last > 2.5*usual {
			return false
		}
		last = p.T
	}
	return to-last <= 2.5*usual
}

// total returns the work of all loops together: noise adds up as squares, what they
// share adds up as it is, and waves in the coils give back what they feigned.
func (s LoopSet) total() energy.Estimate {
	var e energy.Estimate
	noise, shared, waves := s.parts(&e.Value)
	e.U = math.Hypot(math.Hypot(noise, shared), waves)
	return e
}

// parts adds the work of all loops to value and returns the standard uncertainty [J]
// that they have from noise, from what they share, and from waves in the coils.
func (s LoopSet) parts(value *float64) (noise, shared, waves float64) {
	for _, l := range s.Loops {
		*value += l.Work.Value
		noise += l.Noise * l.Noise
		shared += l.Shared
		waves = max(waves, l.waves/math.Sqrt(3))
	}
	return math.Sqrt(noise), math.Abs(shared), waves
}
