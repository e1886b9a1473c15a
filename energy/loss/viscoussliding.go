package loss

import "math"

// viscousSliding: both at once turn at A' = r A - f (1 + r) with r = exp(-d); the
// sliding part takes its force times the way, k f (A + A'). Exact, since between two
// turns sliding friction only shifts the neutral point by f.
var viscousSliding = Model{
	Name:       "viscous + sliding",
	Parameters: []Parameter{decrement, step},
	next: func(a float64, p []float64) float64 {
		if a <= p[1] {
			return -a
		}
		r := math.Exp(-p[0])
		return r*a - p[1]*(1+r)
	},
	split: func(from, to float64, p []float64) []float64 {
		rubbed := rubbing(from, to, p[1])
		return []float64{fall(from, to) - rubbed, rubbed}
	},
}

// rubbing is the work over the rate [m2] of sliding friction f [m] over a half swing.
func rubbing(from, to, f float64) float64 { return f * (from + to) }
