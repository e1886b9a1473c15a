package clock

import "math"

const (
	fewest = 8 // points from which an edge is found

	// scatterFactor makes the scatter of the points an uncertainty; found by
	// simulation, see TestSkewCoverage.
	scatterFactor = 1.5
	// slipFactor widens the bounds of what cannot be seen: a slip in the middle of the
	// window doubles its effect. Found by simulation, see TestSkewCoverageInStep.
	slipFactor = 1.25
	// wander is what the rate of a quartz or ceramic device changes by within the
	// window in a room: some ppm per kelvin, a tenth of a kelvin (from memory).
	wander = 0.3e-6 // [1]
)

// edge is a straight line along the lower edge of the lags.
type edge struct {
	through point
	last    point   // newest of the points
	slope   float64 // [1] rise of the lag per device time
	u       float64 // [1] standard uncertainty of slope
	span    float64 // [s] of device time from the first to the last point
}

// lag returns the lag at device time us [ns].
func (l *edge) lag(us int64) int64 {
	return l.through.lag + int64(math.RoundToEven(l.slope*1000*float64(us-l.through.us)))
}

// fit finds the edge of the points' lower convex hull that lies over their mean
// time: of all straight lines below every point it is the one with the least sum of
// heights (idea: Moon, Skelly and Towsley 1999, from memory). Late lines, however
// many and however late, do not pull at it. ok is false while points are few.
func (e *envelope) fit() (l edge, ok bool) {
	if e.n < fewest {
		return l, false
	}
	first, last := *e.at(0), *e.at(e.n - 1)
	hull, mean := e.hull[:0], 0.0
	for i := range e.n {
		p := *e.at(i)
		mean += float64(p.us-first.us) / float64(e.n)
		for len(hull) >= 2 && !turnsUp(hull[len(hull)-2], hull[len(hull)-1], p) {
			hull = hull[:len(hull)-1]
		}
		hull = append(hull, p)
	}
	k := 1
	for k < len(hull)-1 && float64(hull[k].us-first.us) < mean {
		k++
	}
	a, b := hull[k-1], hull[k]
	l.through, l.last = a, last
	l.slope = float64(b.lag-a.lag) / float64(b.us-a.us) / 1000
	l.span = float64(last.us-first.us) / 1e6
	l.u = e.uncertainty(&l, float64(b.us-a.us)/1e6)
	return l, true
}

// turnsUp reports whether r lies above the line through p and q, all in order of time.
func turnsUp(p, q, r point) bool {
	return float64(r.lag-p.lag)*float64(q.us-p.us) > float64(q.lag-p.lag)*float64(r.us-p.us)
}

// uncertainty returns the standard uncertainty of l's slope [1], the square root of
// three squares:
//
// What the scatter of the points makes of an edge of this length [s]: the median
// height above the edge (a late few do not count) over length and square root of
// number, times a factor found by simulation.
//
// What cannot be seen: where the link delivers on a grid of its own and readings
// keep in step with it, all are delayed alike, and the delay creeps unseen by up to
// the gap between their phases. That is a slope anywhere within about gap / span
// either way: rectangular. Once the lag has slipped through several gaps, the least
// delays show (see phases).
//
// And the wander of the device's rate within the window.
func (e *envelope) uncertainty(l *edge, length float64) float64 {
	heights := e.heights[:e.n]
	for i := range heights {
		heights[i] = height(*e.at(i), l.through, l.slope)
	}
	scatter := scatterFactor * median(heights) / 1e9 / length / math.Sqrt(float64(e.n))
	unseen := e.phases.gap()
	if unseen <= longHold/2 {
		// Several phases: had the link a coarse grid, they would be delayed unequally.
		unseen = min(unseen, max(shortHold, 2*e.spread))
	}
	unseen /= 1e9 * l.span
	if math.Abs(l.slope) > slips*unseen {
		unseen = 0
	}
	return math.Hypot(math.Hypot(scatter, slipFactor*unseen/math.Sqrt(3)), wander)
}

// median returns the middle one of x, the upper of two, and puts x in disorder. It
// narrows down to it (Hoare's find, 1961), since sorting would cost most of a fit.
func median(x []float64) float64 {
	k := len(x) / 2
	for lo, hi := 0, len(x)-1; lo < hi; {
		pivot, i, j := x[(lo+hi)/2], lo, hi
		for i <= j {
			for x[i] < pivot {
				i++
			}
			for pivot < x[j] {
				j--
			}
			if i <= j {
				x[i], x[j] = x[j], x[i]
				i++
				j--
			}
		}
		if k <= j {
			hi = j
		} else if k >= i {
			lo = i
		} else {
			break
		}
	}
	return x[k]
}
