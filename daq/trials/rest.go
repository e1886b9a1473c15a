package trials

import "math"

// rest follows a bob that keeps its place, by distance and force together.
type rest struct {
	body   *body
	since  int64   // [ns]
	last   int64   // [ns] of the newest sample
	height float64 // [m] NaN = not seen yet
	pull   float64 // [N]
	count  int     // samples
	seen   int     // of these with a known height
	hides  float64 // [m] swing that the newest of them, without a force, would not show

	steady bool // it has lasted long enough

	// Samples in a row by which each channel has left its place.
	movedHeight, movedPull, blind int
	leftHeight, leftPull          int64 // [ns] the last sample before these
}

const (
	shortest  = 0.5 // [s] of a rest, unless half a swing is longer
	follows   = 0.5 // [s] in which the place follows a hand that creeps
	twice     = 2   // samples in a row, for one may be false
	elsewhere = 25  // samples after which a distance without a force to it is taken for the place
	falsePull = 50  // samples for which the force alone may be off
	fewSeen   = 2   // distances by which the place is known
	slack     = 1.5 // [mm] by which a hand trembles
	loosely   = 12  // [mm] by which distances may waver where a force says that the bob rests
)

func (r *rest) begin(s *sample) {
	*r = rest{body: r.body, since: s.t, last: s.t, height: math.NaN(), pull: s.pull, hides: r.hides}
}

// take adds a sample and reports whether the bob has left a steady place with it.
func (r *rest) take(s *sample, feels bool, apart float64) (left bool) {
	b := r.body
	if r.count == 0 {
		r.begin(s)
	}
	offPull := feels && math.Abs(s.pull-r.pull) > b.wander
	loose := slack
	if feels {
		loose = loosely
	}
	wide := 4*max(b.noise, s.uHeight) + loose*1e-3
	offHeight := s.seen && math.Abs(s.height-r.height) > wide
	switch {
	case feels:
		r.hides = 0
	case s.seen:
		r.hides = wide
	}
	r.tally(s, offHeight, offPull)
	r.last = s.t
	if r.gone(feels, apart) {
		left = r.steady
		r.begin(s)
	}
	r.follow(s, offHeight, offPull, apart)
	if !r.steady && seconds(s.t-r.since) >= max(shortest, 0.75*b.half) && r.seen >= min(r.count/2, fewSeen) {
		r.steady = true
	}
	return left
}

func (r *rest) tally(s *sample, offHeight, offPull bool) {
	switch {
	case !s.seen:
		r.blind++
	case offHeight:
		if r.movedHeight == 0 {
			r.leftHeight = r.last
		}
		r.blind = 0
		r.movedHeight++
	default:
		r.blind, r.movedHeight = 0, 0
	}
	if !offPull {
		r.movedPull = 0
		return
	}
	if r.movedPull == 0 {
		r.leftPull = r.last
	}
	r.movedPull++
}

// left returns when [ns] the bob had not left its place yet, as far as is known.
func (r *rest) left(feels bool) int64 {
	switch {
	case feels && r.movedPull > 0:
		return r.leftPull
	case !feels && r.movedHeight > 0:
		return r.leftHeight
	}
	return r.last
}

// gone reports whether the bob has left its place. A place that has been steady is left
// only when both channels say so, or one for long.
func (r *rest) gone(feels bool, apart float64) bool {
	height, pull := r.movedHeight >= twice, r.movedPull >= twice
	switch {
	case !feels:
		return height
	case !r.steady:
		return height || pull
	}
	return pull && (height || seconds(int64(r.blind)*pace) >= twice*max(apart, 1e-9*pace)) || r.movedPull > falsePull
}

// follow moves the place along with a sample that belongs to it.
func (r *rest) follow(s *sample, offHeight, offPull bool, apart float64) {
	r.count++
	gain := max(1/float64(r.count), seconds(pace)/follows)
	if !offPull {
		r.pull += gain * (s.pull - r.pull)
	}
	if !s.seen || offHeight && r.movedHeight <= elsewhere {
		return
	}
	r.seen++
	if math.IsNaN(r.height) || offHeight {
		r.height, r.movedHeight = s.height, 0
	}
	r.height += max(1/float64(r.seen), max(seconds(pace), apart)/follows) * (s.height - r.height)
}

// held reports whether a hand must hold the bob in its place: it rests where weight and
// spring would not let it, farther from where it hangs than a swing that nobody sees, and
// not on the floor.
func (r *rest) held() bool {
	b := r.body
	away := b.pull(r.height)
	return r.steady && math.Abs(r.pull) > b.least && math.Abs(away) > b.least/2 &&
		r.pull*away > 0 && math.Abs(r.height-b.neutral) > r.hides && r.height > onFloor+3*b.noise
}

// onFloor is the height [m] up to which a bob may be lying on the floor.
const onFloor = 5e-3
