package clock

const (
	capacity   = 128                   // points of the window; a power of two
	firstShift = 17                    // a point is at first the least delayed of 2^17 us = 0.13 s
	lastShift  = 20                    // and in the end of 2^20 us = 1.05 s: the window is 134 s long
	window     = capacity << lastShift // [us]
	sparse     = 32                    // so many points are kept however old they are
)

// point is a reading whose line was delayed little: device time and lag, which is
// arrival minus device time.
type point struct {
	us  int64 // [us]
	lag int64 // [ns]
}

// height returns how far p lies above the line of slope [1] through q [ns].
func height(p, q point, slope float64) float64 {
	return float64(p.lag-q.lag) - slope*1000*float64(p.us-q.us)
}

// envelope keeps the least delayed reading of each of a number of equal intervals of
// device time. The intervals grow with the window, so that it fills evenly.
type envelope struct {
	points [capacity]point // a ring
	first  int             // index of the oldest
	n      int
	shift  uint // log2 of the interval [us]

	// The interval being filled: its number, first and least delayed reading, number
	// of readings, and sum of their heights above the first [ns].
	interval    int64
	start, best point
	count       int
	sum         float64

	spread float64 // [ns] mean height of readings above their interval's least, smoothed
	phases phases

	hull    [capacity]point // work space of fit
	heights [capacity]float64
}

func (e *envelope) reset() { *e = envelope{shift: firstShift} }

func (e *envelope) at(i int) *point { return &e.points[(e.first+i)&(capacity-1)] }

// add takes a reading. slope [1] is the best guess of the rise of lag with device
// time; the least delayed is picked relative to it. add reports whether a point was
// completed.
func (e *envelope) add(p point, slope float64) bool {
	e.phases.add(p.us)
	if i := p.us >> e.shift; e.count == 0 || i != e.interval {
		completed := e.count > 0
		if completed {
			e.complete(slope)
		}
		e.interval = p.us >> e.shift // complete may have lengthened it
		e.start, e.best, e.count, e.sum = p, p, 1, 0
		return completed
	}
	e.count++
	e.sum += height(p, e.start, slope)
	if height(p, e.best, slope) < 0 {
		e.best = p
	}
	return false
}

// complete turns the interval into a point.
func (e *envelope) complete(slope float64) {
	if e.n == capacity && e.shift < lastShift {
		e.halve(slope)
	}
	for e.n == capacity || e.n > sparse && e.best.us-e.at(0).us > window {
		e.first++
		e.n--
	}
	*e.at(e.n) = e.best
	e.n++
	if e.count > 1 {
		above := e.sum/float64(e.count) - height(e.best, e.start, slope)
		e.spread += (min(above, longHold) - e.spread) / float64(min(e.n, 16))
	}
}

// halve doubles the interval and keeps the less delayed of each two points.
func (e *envelope) halve(slope float64) {
	e.shift++
	n := 0
	for i := range e.n {
		p := *e.at(i)
		switch {
		case n == 0 || e.at(n-1).us>>e.shift != p.us>>e.shift:
			*e.at(n) = p
			n++
		case height(p, *e.at(n - 1), slope) < 0:
			*e.at(n - 1) = p
		}
	}
	e.n = n
}
