package drift

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"

	"joulewell/energy/quantity"
)

// What the temperature must have done before a coefficient is asked for.
const (
	leastAir    = 5    // records
	leastSpread = 1.0  // [K] between the coldest and the warmest
	mostShared  = 0.95 // correlation of temperature and time
)

// airless says why no temperature coefficient can be told, or returns nothing.
func (s series) airless() string {
	low, high := math.Inf(1), math.Inf(-1)
	for _, t := range s.air {
		if math.IsNaN(t) {
			return "the air temperature was not logged with every record"
		}
		low, high = min(low, t), max(high, t)
	}
	if len(s.air) < leastAir {
		return fmt.Sprintf("%s: at least %d are needed to tell drift and temperature apart", quantity.Count(len(s.air), "record"), leastAir)
	}
	if high-low < leastSpread {
		return fmt.Sprintf("the air temperature varied by %.2g K only: at least %g K are needed", high-low, leastSpread)
	}
	if r := stat.Correlation(s.time, s.air, nil); math.Abs(r) > mostShared {
		return fmt.Sprintf("the air temperature went with time (correlation %.2f): the two cannot be told apart", r)
	}
	return ""
}
