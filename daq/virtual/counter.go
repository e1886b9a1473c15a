package virtual

import "math"

// counter is the device's microsecond clock since it was powered up.
type counter struct {
	Clock
	up   int64   // [ns] true time of the power-up
	back float64 // [us] by which it has jumped back since
}

// ticks returns what the clock has counted [us] from power-up to the instant at [ns],
// without start value, jumps and wrap.
func (c *counter) ticks(at int64) float64 {
	us := float64(at-c.up) * 1e-3
	return us * (1 + c.rate(us))
}

// rate returns the mean relative rate deviation over the first us microseconds.
func (c *counter) rate(us float64) float64 {
	return 1e-6 * (c.PPM + c.Drift*us*1e-6/2)
}

// reached is the inverse of ticks: the first nanosecond at which the clock has counted
// that many microseconds.
func (c *counter) reached(ticks float64) int64 {
	us := ticks
	for range 5 { // Newton's way; the first guess is off by a few parts in a thousand
		slope := 1 + 1e-6*(c.PPM+c.Drift*us*1e-6)
		us -= (us*(1+c.rate(us)) - ticks) / slope
	}
	return c.up + int64(math.Ceil(us*1e3))
}

// stamp returns what the clock shows at the instant at [ns].
func (c *counter) stamp(at int64) uint32 {
	return c.Start + uint32(int64(math.Floor(c.ticks(at)-c.back)))
}

// measured returns by how much [us] the clock advances over a time [s] from the
// instant at [ns].
func (c *counter) measured(span float64, at int64) float64 {
	us := float64(at-c.up) * 1e-3
	return span * 1e6 * (1 + 1e-6*(c.PPM+c.Drift*us*1e-6))
}
