package motion

import (
	"fmt"
	"math"

	"joulewell/energy"
)

// LiveOptions shape a [Live]. Zero fields, except Noise, take the default.
type LiveOptions struct {
	Noise  float64 // [m] standard deviation of one position, > 0
	Lag    float64 // [s] how far past the asked instant points are used, at most 0.060 (default 0.060)
	Back   float64 // [s] how far before the asked instant points may be used, at least Lag (default 0.250)
	Gap    float64 // [s] longest silence between two points that is still bridged (default 0.100)
	Degree int     // [1] of the polynomial where it suffices, 1 to 3 (default 3)
	Points int     // [1] number of points the window is widened backward to reach (default Degree+4)

	Acceleration float64 // [m/s2] no motion is faster than this (default 50)
}

// MaxLag is the largest lag [s] a live value may have: what a person watching bob
// and screen together does not yet notice.
const MaxLag = 0.060

const (
	memory = 2048 // points that are surely still there
	side   = 64   // points used at most on either side: with more the answer costs more than it gains
)

func (o LiveOptions) withDefaults() LiveOptions {
	if o.Lag == 0 {
		o.Lag = MaxLag
	}
	if o.Back == 0 {
		o.Back = 0.250
	}
	if o.Gap == 0 {
		o.Gap = 0.100
	}
	if o.Degree == 0 {
		o.Degree = 3
	}
	if o.Points == 0 {
		o.Points = o.Degree + 4
	}
	if o.Acceleration == 0 {
		o.Acceleration = 50
	}
	return o
}

func (o LiveOptions) check() error {
	switch {
	case !(o.Noise > 0) || math.IsInf(o.Noise, 0):
		return fmt.Errorf("set up live motion: noise = %g m: must be positive", o.Noise)
	case !(o.Lag > 0 && o.Lag <= MaxLag):
		return fmt.Errorf("set up live motion: lag = %g s: must lie above 0 and not above %g s", o.Lag, MaxLag)
	case !(o.Back >= o.Lag && o.Back <= 1):
		return fmt.Errorf("set up live motion: back = %g s: must lie between the lag, %g s, and 1 s", o.Back, o.Lag)
	case !(o.Gap > 0 && o.Gap <= 1):
		return fmt.Errorf("set up live motion: gap = %g s: must lie above 0 and not above 1 s", o.Gap)
	case o.Degree < 1 || o.Degree > 3:
		return fmt.Errorf("set up live motion: degree = %d: must be 1, 2 or 3", o.Degree)
	case o.Points < o.Degree+2 || o.Points > side:
		return fmt.Errorf("set up live motion: points = %d: must lie between degree + 2 = %d and %d", o.Points, o.Degree+2, side)
	case !(o.Acceleration > 0):
		return fmt.Errorf("set up live motion: acceleration = %g m/s2: must be positive", o.Acceleration)
	}
	return nil
}

// Live estimates position and velocity while points arrive: a polynomial is fitted
// by least squares to the points around the asked instant and read there.
//
// The window reaches Lag forward and Lag backward, and farther back, up to Back, as
// long as it holds fewer than Points points. It ends at a silence longer than Gap.
// Of a very dense stream the 64 points nearest on either side are taken. Points
// that no smooth motion explains are left out, see outlier.go; where the points show
// more curvature than the polynomial holds, its degree is raised by one or two. Where
// that leaves no answer the window is widened to all of Back and judged once more.
//
// One Live costs about 130 kB and allocates nothing after [NewLive]. It is not safe
// for concurrent use.
type Live struct {
	opt   LiveOptions
	reach reach
	gate  gate

	track  track
	window window
}

// NewLive returns an estimator without points, or an error that names the option
// at fault and what would pass.
func NewLive(o LiveOptions) (*Live, error) {
	o = o.withDefaults()
	if err := o.check(); err != nil {
		return nil, err
	}
	lag := nanoseconds(o.Lag)
	return &Live{
		opt:   o,
		reach: reach{lag, lag, nanoseconds(o.Back), side},
		gate:  gate{o.Degree, o.Noise, o.Acceleration},
		track: newTrack(2*memory, o.Gap),
	}, nil
}

// Lag returns the lag [ns]: [Live.At] may be asked for t as soon as time is past
// t + Lag, and not before.
func (l *Live) Lag() int64 { return l.reach.ahead }

// Reset forgets every point, as after a restart of the device.
func (l *Live) Reset() {
	l.track.drop(len(l.track.times))
	l.window.settled = false
}

// Add takes the position x [m] at the instant t [ns]. It refuses a point that is not
// finite ([ErrValue]) or not later than the one before ([ErrOrder]); nothing is
// changed then.
func (l *Live) Add(t int64, x float64) error {
	// When full, the younger half moves to the front.
	if len(l.track.times) == 2*memory {
		l.track.drop(memory)
	}
	return l.track.add(t, x)
}

// At returns position [m] and velocity [m/s] at the instant t [ns], which need not
// be that of a point. Points later than t + Lag are not looked at, so the answer is
// the same however much later it is asked for, as long as the points of its window
// are among the last 2048 added.
//
// Both are NaN unless there is a usable point on either side of t, near enough that
// the silence around t is no longer than Gap, and at least Degree + 2 in all.
//
// The standard uncertainties hold the noise of the points, the larger of the stated
// one and what the residuals show, carried through the weights of the fit; that of
// the velocity holds [Quality.VelocityBias] too. What all points share, a wrong scale
// say, is the caller's to add.
func (l *Live) At(t int64) (position, velocity energy.Estimate, quality Quality) {
	w := &l.window
	for _, points := range [...]int{l.opt.Points, 2*side + 1} {
		l.track.window(w, t, l.reach, points)
		if w.judge(&l.gate) {
			return w.read(l.opt.Noise)
		}
		if w.n == 0 || w.n > few {
			break // more points behind would not help
		}
	}
	return energy.None(), energy.None(), w.quality()
}
