package trials

import (
	"math"

	"joulewell/energy/plan"
)

// mode is the lowest of the modes in which bob and uniform spring swing.
//
// A bob held still draws the spring evenly: a shape that is not quite the mode's. Let go
// of, the mode gets a share of it, the rest becomes waves in the coils. With x the root of
// x tan x = r, r the spring's mass over the bob's, the displacement at the part s of the
// spring's length is sin(x s), and the projection onto it, weighted by mass, gives (own
// derivation)
//
//	share = 2 r sin^2 x / (x^2 (r + 2 sin^2 x - r sin 2x/(2x)))
//
// of the way at the bob; the force at the top is x/sin x times what the rate makes of that.
type mode struct {
	bob float64 // [1] amplitude of the bob over the way at which it was held
	top float64 // [1] amplitude of the force at the top over the force that holds it there
}

func modeOf(ratio float64) mode {
	if ratio < 1e-6 {
		return mode{1, 1}
	}
	x := 1 / math.Sqrt(plan.EffectiveFraction(ratio)+1/ratio)
	sin := math.Sin(x)
	share := 2 * ratio * sin * sin / (x * x * (ratio + 2*sin*sin - ratio*math.Sin(2*x)/(2*x)))
	return mode{bob: share, top: share * x / sin}
}

// averaged is what a mean over so long a time [s] leaves of a sinusoid of angular
// frequency w, and by how much of itself that changes for each second more of that time.
func averaged(w, time float64) (share, slope float64) {
	x := w * time / 2
	if x < 1e-6 {
		return 1, 0
	}
	share = math.Sin(x) / x
	return share, w / 2 * (1/math.Tan(x) - 1/x)
}
