package allan

import (
	"fmt"
	"math"
)

// octaves is how many a stream keeps: as many as any log will ever fill.
const octaves = 40

// Stream finds Allan deviations of readings as they come, in bounded memory: each octave
// holds the last mean over its averaging time, end to end with the one before, and hands
// every other pair of means on to the next. Adding a reading takes two such steps on
// average and no memory. The zero Stream is ready for use.
type Stream struct{ octaves [octaves]octave }

type octave struct {
	last   float64 // mean before
	first  float64 // first mean of the pair that goes on
	sum    float64 // of the squared differences of neighbours
	terms  int
	joined bool // last is the neighbour of the mean to come
	paired bool // first waits for its second
}

// Add takes the next reading, which must be a number.
func (s *Stream) Add(reading float64) {
	for k := range s.octaves {
		o := &s.octaves[k]
		if o.joined {
			d := reading - o.last
			o.sum += d * d
			o.terms++
		}
		o.last, o.joined = reading, true
		if !o.paired {
			o.first, o.paired = reading, true
			return
		}
		o.paired = false
		reading = o.first + (reading-o.first)/2
	}
}

// Break says that the next reading does not follow on the last. What was learnt stays;
// means that were not complete are dropped.
func (s *Stream) Break() {
	for k := range s.octaves {
		s.octaves[k].joined, s.octaves[k].paired = false, false
	}
}

// Value returns the deviation [reading] at an averaging time of 2^octave readings and
// from how many differences it comes; NaN and 0 where there are none.
func (s *Stream) Value(octave int) (value float64, terms int) {
	if octave < 0 || octave >= octaves || s.octaves[octave].terms == 0 {
		return math.NaN(), 0
	}
	o := &s.octaves[octave]
	return math.Sqrt(o.sum / (2 * float64(o.terms))), o.terms
}

// Octaves returns the deviations found so far, for readings interval [s] apart. These are
// plain ones, less certain than the overlapping ones of a [Log]. Their degrees of freedom
// are reckoned for the kind of noise whose differences are correlated most, white phase
// noise (by -2/3 and 1/6), so that the intervals are rather too wide: terms/1.944.
func (s *Stream) Octaves(interval, probability float64) ([]Deviation, error) {
	if !(interval > 0) || !(probability > 0 && probability < 1) {
		return nil, fmt.Errorf("find Allan deviations: interval %g s, probability %g: must be positive, and between 0 and 1", interval, probability)
	}
	var all []Deviation
	for k := range s.octaves {
		d := Deviation{Tau: math.Ldexp(interval, k), Noise: WhitePhase}
		if d.Value, d.Terms = s.Value(k); d.Terms == 0 {
			break
		}
		d.DoF = max(1, float64(d.Terms)/(1+2*(4.0/9+1.0/36)))
		d.bound(probability)
		all = append(all, d)
	}
	return all, nil
}
