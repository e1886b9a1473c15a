package analysis

import (
	"fmt"
	"math"
	"slices"

	"joulewell/energy/motion"
)

// A ranger that hangs repeats its last value. From inside that is a bob at rest, and its
// end a release; but noise finer than its step never repeats.
const (
	stuckPoints = 8    // equal values in a row that noise does not make
	stuckTime   = 0.15 // [s] that they last at least
)

// unstick takes out runs of equal values, all but the first of each, and says where. It
// leaves a sensor alone whose step is not finer than half the noise: its values repeat at
// rest.
func unstick(s *motion.Series, noise float64) (notes []string) {
	if step := stepOf(s.Values); !(step < noise/2) {
		return nil
	}
	kept := 0
	for i := 0; i < len(s.Values); {
		j := i + 1
		for j < len(s.Values) && s.Values[j] == s.Values[i] {
			j++
		}
		end := j
		if j-i >= stuckPoints && s.Times[j-1]-s.Times[i] >= nanoseconds(stuckTime) {
			end = i + 1
			notes = append(notes, fmt.Sprintf("the ranger repeats one value from %.2f s to %.2f s: left out, as if it had been silent",
				seconds(s.Times[i]), seconds(s.Times[j-1])))
		}
		copy(s.Times[kept:], s.Times[i:end])
		copy(s.Values[kept:], s.Values[i:end])
		kept += end - i
		i = j
	}
	s.Times, s.Values = s.Times[:kept], s.Values[:kept]
	return notes
}

// stepOf returns the smallest difference between any of a thousand values, infinite where
// all are the same.
func stepOf(values []float64) float64 {
	var some []float64
	for i := 0; i < len(values); i += max(1, len(values)/1000) {
		some = append(some, values[i])
	}
	slices.Sort(some)
	step := math.Inf(1)
	for i := 1; i < len(some); i++ {
		if d := some[i] - some[i-1]; d > 1e-9 {
			step = min(step, d)
		}
	}
	return step
}
