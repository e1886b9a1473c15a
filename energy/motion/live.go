package motion

import (
	"errors"
	"fmt"
	"math"

	"joulewell/energy"
)

// Refusals of a point.
var (
	ErrOrder = errors.New("position is not later than the one before")
	ErrValue = errors.New("position is not a finite number")
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

// Window limits that are not options.
const (
	memory = 2048       // points that are surely still there
	side   = 64         // points used at most on either side of the asked instant
	maxN   = 2*side + 1 // points in a window
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
// more curvature than the polynomial holds, its degree is raised by one or two.
//
// One Live costs about 100 kB and allocates nothing after [NewLive]. It is not safe
// for concurrent use.
type Live struct {
	opt       LiveOptions
	lag, back int64 // [ns]
	gap       int64 // [ns]

	// The points, oldest first; when full, the younger half moves to the front.
	times     []int64   // [ns]
	unbroken  []int64   // [ns] since when no silence was longer than gap, for each point
	positions []float64 // [m]

	window window
}

// NewLive returns an estimator without points, or an error that names the option
// at fault and what would pass.
func NewLive(o LiveOptions) (*Live, error) {
	o = o.withDefaults()
	if err := o.check(); err != nil {
		return nil, err
	}
	return &Live{
		opt: o, lag: nanoseconds(o.Lag), back: nanoseconds(o.Back), gap: nanoseconds(o.Gap),
		times:     make([]int64, 0, 2*memory),
		unbroken:  make([]int64, 0, 2*memory),
		positions: make([]float64, 0, 2*memory),
	}, nil
}

func nanoseconds(s float64) int64 { return int64(math.Round(s * 1e9)) }

// Lag returns the lag [ns]: [Live.At] may be asked for t as soon as time is past
// t + Lag, and not before.
func (l *Live) Lag() int64 { return l.lag }

// Reset forgets every point, as after a restart of the device.
func (l *Live) Reset() {
	l.times, l.unbroken, l.positions = l.times[:0], l.unbroken[:0], l.positions[:0]
}

// Add takes the position x [m] at the instant t [ns]. It refuses a point that is not
// finite ([ErrValue]) or not later than the one before ([ErrOrder]); nothing is
// changed then.
func (l *Live) Add(t int64, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ErrValue
	}
	n := len(l.times)
	since := t
	if n > 0 {
		if t <= l.times[n-1] {
			return ErrOrder
		}
		if t-l.times[n-1] <= l.gap {
			since = l.unbroken[n-1]
		}
	}
	if n == 2*memory {
		l.times = l.times[:copy(l.times, l.times[memory:])]
		l.unbroken = l.unbroken[:copy(l.unbroken, l.unbroken[memory:])]
		l.positions = l.positions[:copy(l.positions, l.positions[memory:])]
	}
	l.times = append(l.times, t)
	l.unbroken = append(l.unbroken, since)
	l.positions = append(l.positions, x)
	return nil
}

// At returns position [m] and velocity [m/s] at the instant t [ns], which need not
// be that of a point. Points later than t + Lag are not looked at, so the answer is
// the same however much later it is asked for, as long as the points of its window
// are among the last 2048 added.
//
// Both are NaN unless there is a usable point on either side of t, near enough that
// the silence around t is no longer than Gap, and at least Degree + 2 in all.
//
// The standard uncertainties hold the noise of the points only: the larger of the
// stated one and what the residuals show, carried through the weights of the fit.
// What all points share, a wrong scale say, is the caller's to add.
func (l *Live) At(t int64) (position, velocity energy.Estimate, quality Quality) {
	w := &l.window
	for _, points := range [...]int{l.opt.Points, maxN} {
		first, after, last := l.bounds(t, points)
		w.take(l.times[first:last], l.positions[first:last], t)
		w.after = after - first
		w.at = after > first && l.times[after-1] == t
		w.gap = l.opt.Gap / w.scale * (1 + 1e-9) // a silence of just Gap passes
		if w.judge(&l.opt) {
			return w.read(l.opt.Noise)
		}
	}
	return energy.None(), energy.None(), w.quality()
}

// bounds returns the window around t as indices, widened backward to so many points:
// its points are first to last-1, those later than t begin at after. The window is
// empty when t stands in a silence longer than the gap.
func (l *Live) bounds(t int64, points int) (first, after, last int) {
	after = upTo(l.times, t)
	if after == 0 || after == len(l.times) || l.unbroken[after] != l.unbroken[after-1] {
		if after == 0 || l.times[after-1] != t {
			return after, after, after
		}
	}
	since := l.unbroken[after-1]
	last = min(upTo(l.times, t+l.lag), after+side)
	if last > after && l.unbroken[last-1] != since {
		last = upTo(l.unbroken, since)
	}
	first = upTo(l.times, t-l.lag-1)
	if last-first < points {
		first = max(last-points, upTo(l.times, t-l.back-1))
	}
	return max(first, after-side-1, upTo(l.times, since-1)), after, last
}

// upTo returns how many leading elements of the ascending list are not above v.
func upTo(list []int64, v int64) int {
	low, high := 0, len(list)
	for low < high {
		mid := int(uint(low+high) / 2)
		if list[mid] > v {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low
}
