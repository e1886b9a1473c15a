package clock

import "math"

// timeline maps device time to host time: a straight line whose rate may bend, never
// its course jump.
type timeline struct {
	us   int64   // [us] device time of the last bend
	t    int64   // [ns] host time of it
	rest float64 // [ns] what t leaves over, within half a nanosecond
	rate float64 // [1] host time over device time, minus one
	back float64 // [1] device time over host time, minus one
}

// at returns the host time [ns] of device time us [us], which must not precede the
// last bend. Only the small product with the rate is worked out in floating point,
// so nanoseconds stay exact over years.
func (l *timeline) at(us int64) int64 {
	d := us - l.us
	return l.t + d*1000 + int64(math.RoundToEven(float64(d)*1000*l.rate+l.rest))
}

// bend goes on from us at another rate.
func (l *timeline) bend(us int64, rate float64) {
	d := us - l.us
	x := float64(d)*1000*l.rate + l.rest
	whole := math.RoundToEven(x)
	*l = timeline{us: us, t: l.t + d*1000 + int64(whole), rest: x - whole, rate: rate, back: -rate / (1 + rate)}
}

// device returns the device time of host time t [ns], within 2 us.
func (l *timeline) device(t int64) int64 {
	h := t - l.t
	return l.us + (h+int64(float64(h)*l.back))/1000
}

// start puts us at t.
func start(us, t int64, rate float64) timeline {
	l := timeline{us: us, t: t}
	l.bend(us, rate)
	return l
}
