package motion

import (
	"math"
	"slices"
)

// weigher holds the windows and what the heights say in each.
type weigher struct {
	force   Series
	half    float64 // [s]
	middles []int64 // [ns] of the windows kept
	bends   []float64
}

func newWeigher(heights, force Series, half float64) *weigher {
	w := &weigher{force: force, half: half}
	n := min(len(heights.Times), len(force.Times))
	if n < leastWindows {
		return w
	}
	reach := nanoseconds(half)
	margin := reach + nanoseconds(min(longestLag, half/2))
	first := max(heights.Times[0], force.Times[0]) + margin
	last := min(heights.Times[len(heights.Times)-1], force.Times[len(force.Times)-1]) - margin
	step := max(reach/3, (last-first)/mostWindows)
	gaps := [...]int64{3 * usualInterval(heights.Times), 3 * usualInterval(force.Times)}
	for n := int64(0); first+(n+1)*step <= last; n++ {
		// Windows in step with the motion would always see the same phase of it.
		dither := float64(n) * math.Phi
		t := first + n*step + int64((dither-math.Floor(dither))*float64(step))
		i, j := between(heights.Times, t-reach, t+reach)
		k, l := between(force.Times, t-margin, t+margin)
		if !dense(heights.Times[i:j], t-reach, t+reach, gaps[0]) || !dense(force.Times[k:l], t-margin, t+margin, gaps[1]) {
			continue
		}
		w.middles = append(w.middles, t)
		w.bends = append(w.bends, bend(heights.Times[i:j], heights.Values[i:j], t, half))
	}
	return w
}

func usualInterval(times []int64) int64 {
	steps := make([]int64, 0, 1001)
	for i := 1; i < len(times); i += max(1, len(times)/1000) {
		steps = append(steps, times[i]-times[i-1])
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// between returns the range of the points from one instant to another.
func between(times []int64, from, to int64) (int, int) {
	return upTo(times, from-1), upTo(times, to)
}

// dense reports whether no silence between two instants is longer than the gap.
func dense(times []int64, from, to, gap int64) bool {
	for _, t := range times {
		if t-from > gap {
			return false
		}
		from = t
	}
	return to-from <= gap
}

// bend returns the acceleration as the window sees it: the integral of the heights
// times the second derivative of p, over that of p, with p = (1 - s^2)^5, by trapezia: the
// flat ends of p make these right to 0.1 % at 25 points in a window.
func bend(times []int64, heights []float64, t int64, half float64) float64 {
	var sum float64
	base := heights[len(heights)/2]
	for i := range times {
		s := float64(times[i]-t) * 1e-9 / half
		q := 1 - s*s
		sum += (heights[i] - base) * q * q * q * (90*s*s - 10) * stretchAt(times, i)
	}
	const area = 512.0 / 693 // of (1 - s^2)^5 from -1 to 1
	return sum / (half * half * half * area)
}

// stretchAt is the time [s] that point i stands for in a sum by trapezia.
func stretchAt(times []int64, i int) float64 {
	return float64(times[min(i+1, len(times)-1)]-times[max(i-1, 0)]) * 0.5e-9
}

// pull returns the mean force in the window around t, shifted by the lag [s], and its
// derivative by the lag.
func (w *weigher) pull(t int64, lag float64) (mean, slope float64) {
	t += nanoseconds(lag)
	i, j := between(w.force.Times, t-nanoseconds(w.half), t+nanoseconds(w.half))
	times, values := w.force.Times[i:j], w.force.Values[i:j]
	var area, areaSlope float64
	for i := range times {
		s := float64(times[i]-t) * 1e-9 / w.half
		q, dt := 1-s*s, stretchAt(times, i)
		p, dp := q*q*q*q*q*dt, 10*s*q*q*q*q/w.half*dt
		mean, slope = mean+p*values[i], slope+dp*values[i]
		area, areaSlope = area+p, areaSlope+dp
	}
	mean /= area
	return mean, (slope - mean*areaSlope) / area
}

// scan returns the lag of a coarse grid at which forces and accelerations agree best,
// the force growing with the acceleration.
func (w *weigher) scan(most float64) float64 {
	best, at := math.Inf(-1), 0.0
	for k := -20; k <= 20; k++ {
		lag := most * float64(k) / 20
		var sf, sa, sff, saa, sfa float64
		for i, a := range w.bends {
			f, _ := w.pull(w.middles[i], lag)
			sf, sa, sff, saa, sfa = sf+f, sa+a, sff+f*f, saa+a*a, sfa+f*a
		}
		n := float64(len(w.bends))
		r := (sfa - sf*sa/n) / math.Sqrt((sff-sf*sf/n)*(saa-sa*sa/n))
		if r > best {
			best, at = r, lag
		}
	}
	return at
}
