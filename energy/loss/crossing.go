package loss

import (
	"fmt"
	"math"
	"slices"
)

// hysteresis is how many standard uncertainties the velocity must pass on either
// side of zero, and two turning points differ by, before noise is ruled out. One
// reading in 30000 passes four on one side; to be taken for a turn it would have to
// do so twice, once on either side.
const hysteresis = 4

// crossing is a change of the velocity's sign: last is the last sample surely on the
// old side, next the first surely on the new one.
type crossing struct {
	last, next int
	at         float64 // [s] rough instant
	side       Side
	broken     bool // a gap lies between last and next
}

// gap is a stretch of time [s] of which nothing is known.
type gap struct {
	from, to float64
	turned   bool // the velocity has another sign after it
}

// scan checks the samples and finds crossings and gaps in one pass from start.
func scan(samples []Sample, start int) (crossings []crossing, gaps []gap, err error) {
	before := math.Inf(-1)
	last, sign := -1, Side(0)
	hole := false
	known := -1 // last sample that is there
	var agree float64
	for i := start; i < len(samples); i++ {
		s := &samples[i]
		if err := s.check(i, before); err != nil {
			return nil, nil, err
		}
		before = s.T
		if s.absent() {
			hole = true
			continue
		}
		if known >= 0 && broken(samples, i) {
			hole = true
			gaps = append(gaps, gap{from: samples[known].T, to: s.T})
		} else if known >= 0 {
			agree += s.Velocity.Value * (s.Extension.Value - samples[known].Extension.Value)
		}
		known = i
		now := Side(0)
		switch limit := hysteresis * s.Velocity.U; {
		case s.Velocity.Value > limit:
			now = 1
		case s.Velocity.Value < -limit:
			now = -1
		default:
			continue
		}
		if now == -sign {
			c := crossing{last: last, next: i, side: sign, broken: hole}
			c.at = signChange(samples[last:i+1], sign)
			crossings = append(crossings, c)
		}
		last, sign, hole = i, now, false
	}
	if known < 0 {
		return nil, nil, fmt.Errorf("%w: none of %d holds a position", ErrSamples, len(samples)-start)
	}
	if len(crossings) > 0 && agree < 0 {
		return nil, nil, fmt.Errorf("%w: velocities run against the extensions: both must count positive downward", ErrSamples)
	}
	return crossings, gaps, nil
}

// signChange returns the middle between the first and the last change of sign in the
// noisy stretch between two sure signs.
func signChange(samples []Sample, sign Side) float64 {
	first, last := samples[len(samples)-1].T, samples[0].T
	for i := range samples {
		if samples[i].absent() {
			continue
		}
		if samples[i].Velocity.Value*float64(sign) > 0 {
			last = samples[i].T
		} else {
			first = min(first, samples[i].T)
		}
	}
	return (first + last) / 2
}

// halfSwings returns for each crossing how long [s] a half swing is thereabouts: the
// mean time to its neighbours, less those that are out of line with all the others.
func halfSwings(samples []Sample, crossings []crossing) []float64 {
	halves := make([]float64, len(crossings))
	if len(crossings) < 2 {
		for i, c := range crossings {
			halves[i] = loneHalfSwing(samples, c)
		}
		return halves
	}
	spacing := make([]float64, len(crossings)-1)
	for i := range spacing {
		spacing[i] = crossings[i+1].at - crossings[i].at
	}
	usual := median(spacing)
	for i := range halves {
		halves[i] = usual
		var sum, n float64
		for _, j := range [...]int{i - 1, i} {
			if j >= 0 && j < len(spacing) && spacing[j] > usual/2 && spacing[j] < 2*usual {
				sum, n = sum+spacing[j], n+1
			}
		}
		if n > 0 {
			halves[i] = sum / n
		}
	}
	return halves
}

// loneHalfSwing judges the half swing around the only crossing of a run, a drop that
// was stopped early: the bob's largest speed over its acceleration at the turn is the
// time scale of the turn, 1/omega for a swing.
func loneHalfSwing(samples []Sample, c crossing) float64 {
	var speed float64
	for i := range samples {
		if !samples[i].absent() {
			speed = max(speed, math.Abs(samples[i].Velocity.Value))
		}
	}
	from, to := &samples[c.last], &samples[c.next]
	return math.Pi * speed * (to.T - from.T) / math.Abs(to.Velocity.Value-from.Velocity.Value)
}

// median returns the upper median of values, which must not be empty.
func median(values []float64) float64 {
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	return sorted[len(sorted)/2]
}
