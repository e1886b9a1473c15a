package chart

import "math"

// EWMA is the chart of the exponentially weighted moving average
//
//	z_i = weight x_i + (1 - weight) z_(i-1)
//
// started at the mean. Its limits are exact from the first value on:
//
//	mean +- limit SD sqrt(weight/(2 - weight) (1 - (1 - weight)^(2i)))
//
// Source: NIST/SEMATECH e-Handbook 6.3.2.4; the early-time factor, Lucas and Saccucci,
// Technometrics 32 (1990) 1.
type EWMA struct {
	level         Level
	weight, limit float64
	value         float64 // in standard deviations off the mean
	fade          float64 // (1 - weight)^(2n)
	n, since      int
}

// NewEWMA starts a chart. Weight lies in (0, 1], limit is in standard deviations of the
// average and above 0.
func NewEWMA(l Level, weight, limit float64) (EWMA, error) {
	const doing = "start a chart of the moving average"
	if err := l.check(doing); err != nil {
		return EWMA{}, err
	}
	if err := checkAverage(doing, weight, limit); err != nil {
		return EWMA{}, err
	}
	return EWMA{level: l, weight: weight, limit: limit, fade: 1}, nil
}

// Add takes the next value and tells on which side the average now lies beyond its
// limits.
func (e *EWMA) Add(x float64) Side {
	before := e.value
	e.value += e.weight * ((x-e.level.Mean)/e.level.SD - e.value)
	if before*e.value <= 0 {
		e.since = e.n // a new stay on this side of the mean
	}
	e.n++
	e.fade *= (1 - e.weight) * (1 - e.weight)
	return beyond(e.value, e.width())
}

// width is the half width of the limits in standard deviations of one value.
func (e *EWMA) width() float64 { return averageWidth(e.weight, e.limit, e.fade) }

func averageWidth(weight, limit, fade float64) float64 {
	return limit * math.Sqrt(weight/(2-weight)*(1-fade))
}

// Average returns the present average and its limits [value].
func (e *EWMA) Average() (value, low, high float64) {
	low, high = e.level.Limits(e.width())
	return e.level.Mean + e.value*e.level.SD, low, high
}

// Since returns the index of the value with which the average went to the side of the
// mean where it is now: an estimate of when the change came.
func (e *EWMA) Since() int { return e.since }
