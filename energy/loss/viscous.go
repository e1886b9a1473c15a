package loss

import "math"

// Viscous friction grows as the speed: a dashpot, slow air, and the inside of the
// spring's wire alike.
const Viscous Part = "viscous"

var decrement = Parameter{Part: Viscous, Name: "decrement of a half swing", Unit: "1"}

// viscous: m dv/dt + c v + k x = 0 turns at A' = A exp(-d). With the damping ratio
// z = c/(2 sqrt(k m)) the decrement is d = pi z/sqrt(1 - z^2).
var viscous = Model{
	Name:       "viscous",
	Parameters: []Parameter{decrement},
	next:       func(a float64, p []float64) float64 { return a * math.Exp(-p[0]) },
	split:      func(from, to float64, _ []float64) []float64 { return []float64{fall(from, to)} },
}
