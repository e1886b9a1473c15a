package loss

import (
	"fmt"
	"math"
)

// How quick the force converter must be: with 16 readings in a period a polygon has
// lost 3 % of the loop's area, with a settling time of a sixth of the period the
// swing of the force has lost 5 % of its height.
const (
	readingsPerPeriod = 16.0
	settlingOfPeriod  = 1.0 / 6
)

// tooSlow says why a force channel with a reading every step [s] is too slow for a
// motion of this period [s], or nothing where it is quick enough.
func (c Channels) tooSlow(step, period float64) string {
	switch {
	case period/step < readingsPerPeriod:
		return fmt.Sprintf("the force converter is too slow: %.0f readings a second are %.1f in a period of %.2f s, at least %.0f needed; set it to a higher rate",
			1/step, period/step, period, readingsPerPeriod)
	case c.Settling > settlingOfPeriod*period:
		return fmt.Sprintf("the force converter is too slow: it settles in %.0f ms, more than a sixth of the period of %.2f s; set it to a higher rate",
			1e3*c.Settling, period)
	}
	return ""
}

// Waves in the coils of a heavy spring make the load cell at the support feel another
// force than the bob does.

// feigned returns the bound of the loss that such waves feign in loops of the
// support's force over the bob's extension, over one cycle or any number of them, as
// a share of rate times amplitude squared: 0.08 r^1.5. Found by integrating a
// lossless spring of 60 and of 200 beads after a release at rest, over 20 cycles at
// 50 mass ratios from 0.01 to 2; the largest share was 0.076 r^1.5 (test).
func feigned(ratio float64) float64 { return 0.08 * math.Pow(ratio, 1.5) }

// support returns by how long [s] the support feels the bob late, sqrt(m_s/k), and by
// how much force [N] it may be off. After a drop by the bob's own weight that is half
// the spring's weight; it grows as the amplitude, to half of r k A.
func (c Channels) support(points []Point, loops []Loop, period float64) (lag, ripple float64) {
	// omega^2 = k/(M + m_s/3), hence m_s/k = r/(omega^2 (1 + r/3))
	lag = period / (2 * math.Pi) * math.Sqrt(c.MassRatio/(1+c.MassRatio/3))
	var largest float64
	for _, l := range loops {
		largest = max(largest, math.Sqrt(l.square))
	}
	return lag, c.MassRatio * rateOf(points) * largest / 2
}
