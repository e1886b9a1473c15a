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
	Back   float64 // [s] how far back false points may be sought for the sake of Points, at least Lag and at most 0.250 (default 0.250)
	Gap    float64 // [s] longest silence between two points that is still bridged (default 0.100)
	Degree int     // [1] of the polynomial by which false points are told, 1 to 3 (default 3)
	Points int     // [1] number of points its window is widened backward to reach (default Degree+4)

	Acceleration float64 // [m/s2] no motion is faster than this (default 50)
}

// MaxLag is the largest lag [s] a live value may have: what a person watching bob
// and screen together does not yet notice.
const MaxLag = 0.060

const (
	memory = 2048 // points that are surely still there
	side   = 96   // points judged at most on either side of an instant

	longestBack = 0.250 // [s] for then an answer depends on no more than two seconds
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
	case !(o.Back >= o.Lag && o.Back <= longestBack):
		return fmt.Errorf("set up live motion: back = %g s: must lie between the lag, %g s, and %g s", o.Back, o.Lag, longestBack)
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
// The window reaches Lag forward. How far it reaches back, 0.06 to 0.5 s, and the degree,
// 1 to 4, are those that would have served best over the last second, see hindsight.go;
// unless the points nearest by contradict, as when the bob is let go: then the window
// shrinks, see wide.go. No window reaches across a silence longer than Gap.
//
// Points that no smooth motion explains are left out, see gate.go. They are sought in a
// window of their own, which reaches 60 ms back, or farther, up to Back, as long as it
// holds fewer than Points points; its fit, of degree Degree, raised by one or two
// where the points show more curvature, answers where there is no better one. Of a stream of
// more than 96 points in 60 ms nothing else answers, by the 96 nearest on either side.
//
// One Live costs about half a megabyte and allocates nothing after [NewLive]. It is not
// safe for concurrent use.
type Live struct {
	opt   LiveOptions
	reach reach
	gate  gate

	track     track
	window    window
	hindsight hindsight
	wide      wide
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
		opt:       o,
		reach:     reach{max(lag, 2*cell), lag, nanoseconds(o.Back), side},
		gate:      gate{o.Degree, o.Noise, o.Acceleration},
		track:     newTrack(2*memory, o.Gap),
		hindsight: hindsight{stated: o.Noise * o.Noise, front: lag / cell},
	}, nil
}

// Lag returns the lag [ns]: [Live.At] may be asked for t as soon as time is past
// t + Lag, and not before.
func (l *Live) Lag() int64 { return l.reach.ahead }

// Reset forgets every point, as after a restart of the device.
func (l *Live) Reset() {
	l.track.drop(len(l.track.times))
	l.window.settled = false
	l.hindsight.begun = false
	l.wide = wide{}
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

// lookBack looks at the boundaries up to t that were not looked at yet.
func (l *Live) lookBack(t int64) {
	if len(l.track.times) == 0 {
		return
	}
	for h := &l.hindsight; h.due(t, l.track.times[0]); h.next++ {
		h.look(h.next, &l.window, l.judge(h.next*cell))
	}
}

// At returns position [m] and velocity [m/s] at the instant t [ns], which need not
// be that of a point; those up to t + Lag must have been added. The answer is a function
// of the points of the two seconds up to then, of which at most the last 2048, and of
// nothing else. It may be asked for once more, or late, until a second later was asked for.
//
// Both are NaN unless there is a usable point on either side of t, near enough that
// the silence around t is no longer than Gap, and at least Degree + 2 nearby.
//
// The standard uncertainties hold the noise of the points, the larger of the stated
// one and what the residuals show, carried through the weights of the fit; that of
// the velocity holds [Quality.VelocityBias] too. What all points share, a wrong scale
// say, is the caller's to add.
func (l *Live) At(t int64) (position, velocity energy.Estimate, quality Quality) {
	l.lookBack(t)
	if l.swift(t) {
		return l.wide.read(Quality{}, l.opt.Noise)
	}
	w := &l.window
	if !l.judge(t) {
		return energy.None(), energy.None(), w.quality()
	}
	if w.cut || !l.widen(t) {
		return w.read(l.opt.Noise)
	}
	return l.wide.read(w.quality(), l.opt.Noise)
}

// judge fills the window around t and decides which of its points are good.
func (l *Live) judge(t int64) bool {
	w := &l.window
	for _, points := range [...]int{l.opt.Points, 2*side + 1} {
		l.track.window(w, t, l.reach, points)
		if w.judge(&l.gate) {
			return true
		}
		if w.n == 0 || w.n > few {
			break // more points behind would not help
		}
	}
	return false
}
