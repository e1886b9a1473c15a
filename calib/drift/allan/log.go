package allan

import (
	"fmt"
	"math"
	"slices"
)

// Log is a rest log, ready to be looked at with any averaging time.
type Log struct {
	interval float64     // [s] between readings
	phases   [][]float64 // running sums of the readings less their mean, from 0, one a stretch
}

// NewLog takes readings, interval [s] apart within each stretch. It wants three or more
// in one of them.
func NewLog(interval float64, stretches ...[]float64) (*Log, error) {
	const doing = "take a rest log"
	if !(interval > 0) || math.IsInf(interval, 0) {
		return nil, fmt.Errorf("%s: interval %g s: must be finite and positive", doing, interval)
	}
	var first, sum float64
	n, longest, alike := 0, 0, true
	for _, s := range stretches {
		longest = max(longest, len(s))
		for _, v := range s {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, fmt.Errorf("%s: reading %d is %g: must be finite; leave it out and split there", doing, n+1, v)
			}
			if n == 0 {
				first = v
			}
			alike = alike && v == first
			sum += v - first
			n++
		}
	}
	if longest < 3 {
		return nil, fmt.Errorf("%s: %d readings without a gap: at least 3 are needed", doing, longest)
	}
	if alike {
		return nil, fmt.Errorf("%s: all %d readings are alike: the resolution hides the noise", doing, n)
	}
	l := &Log{interval: interval}
	mean := first + sum/float64(n) // without it the sums would grow and lose digits
	for _, s := range stretches {
		phase := make([]float64, len(s)+1)
		for i, v := range s {
			phase[i+1] = phase[i] + (v - mean)
		}
		l.phases = append(l.phases, phase)
	}
	return l, nil
}

// Stretches finds the interval [s] of readings taken at the given times [s] and splits
// them where a step is longer than one and a half intervals, that is, where a reading is
// missing. The interval is the median step. Steps that vary by less than half an interval
// pass as even.
//
// It refuses times that do not rise, and those of which more than a tenth of the steps
// are more than half an interval off: such readings are not evenly spaced.
func Stretches(times, readings []float64) (interval float64, stretches [][]float64, err error) {
	const doing = "split a rest log"
	if len(times) != len(readings) || len(times) < 3 {
		return 0, nil, fmt.Errorf("%s: %d times, %d readings: must be as many, at least 3", doing, len(times), len(readings))
	}
	steps := make([]float64, len(times)-1)
	for i := range steps {
		steps[i] = times[i+1] - times[i]
		if !(steps[i] > 0) || math.IsInf(steps[i], 0) {
			return 0, nil, fmt.Errorf("%s: time %d, %g s, after %g s: must be later", doing, i+2, times[i+1], times[i])
		}
	}
	sorted := slices.Clone(steps)
	slices.Sort(sorted)
	interval = sorted[len(sorted)/2]
	from, off := 0, 0
	for i, step := range steps {
		if math.Abs(step-interval) > 0.5*interval {
			off++
		}
		if step > 1.5*interval {
			stretches = append(stretches, readings[from:i+1])
			from = i + 1
		}
	}
	if 10*off > len(steps) {
		return 0, nil, fmt.Errorf("%s: %d of %d steps are far from the median of %g s: the readings are not evenly spaced", doing, off, len(steps), interval)
	}
	return interval, append(stretches, readings[from:]), nil
}
