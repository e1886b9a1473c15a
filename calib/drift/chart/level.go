package chart

import (
	"fmt"
	"math"
)

// Of two independent normal values the range has the mean d2 and the standard deviation
// d3, in standard deviations of one value. Printed tables round d2 to 1.128.
var (
	d2 = 2 / math.SqrtPi
	d3 = math.Sqrt(2 - 4/math.Pi)
)

// Level is where values lie while nothing has moved.
type Level struct {
	Mean float64 // [value]
	SD   float64 // [value] standard deviation of one value about the mean
	N    int     // [1] values it was learnt from; 0 = stated
}

// Learn takes the level from values that are known to be good: their mean, and as
// standard deviation their mean moving range over d2 = 2/sqrt(pi). A slow drift within
// the values hardly widens it, as it would widen their ordinary standard deviation. For
// normal values the result estimates their Allan deviation at one step.
//
// It wants two values or more that are not all alike. The fewer they are, the sooner false
// alarms come: under the usual plan half of the charts have had theirs within 80 values
// when 20 were learnt from, within 120 when 100 were, within 140 of a known level (own
// draws).
func Learn(values []float64) (Level, error) {
	const doing = "learn the level of a chart"
	if len(values) < 2 {
		return Level{}, fmt.Errorf("%s: %d values: at least 2 are needed", doing, len(values))
	}
	var sum, ranges float64
	for i, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Level{}, fmt.Errorf("%s: value %d is %g: must be finite", doing, i+1, v)
		}
		sum += v
		if i > 0 {
			ranges += math.Abs(v - values[i-1])
		}
	}
	l := Level{
		Mean: sum / float64(len(values)),
		SD:   ranges / float64(len(values)-1) / d2,
		N:    len(values),
	}
	if l.SD == 0 {
		return Level{}, fmt.Errorf("%s: all %d values are alike: the resolution hides their scatter, state a standard deviation", doing, len(values))
	}
	return l, l.check(doing)
}

func (l Level) check(doing string) error {
	if math.IsNaN(l.Mean) || math.IsInf(l.Mean, 0) || !(l.SD > 0) || math.IsInf(l.SD, 0) {
		return fmt.Errorf("%s: mean %g, standard deviation %g: must be finite, the second positive", doing, l.Mean, l.SD)
	}
	return nil
}

// Limits returns the values so many standard deviations below and above the mean.
func (l Level) Limits(width float64) (low, high float64) {
	return l.Mean - width*l.SD, l.Mean + width*l.SD
}

// Range returns the mean of the moving range (the size of the step from one value to the
// next) and its upper limit, d2 + 3 d3 standard deviations. It is for the eye: it is no
// rule here, since it tells of scatter and not of drift, and would by itself give a false
// alarm about once in a hundred values.
func (l Level) Range() (mean, high float64) { return d2 * l.SD, (d2 + 3*d3) * l.SD }
