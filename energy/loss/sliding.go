package loss

// Sliding friction has the same size at every speed: dry rubbing.
const Sliding Part = "sliding"

var step = Parameter{Part: Sliding, Name: "friction over rate", Unit: "m", power: -1}

// sliding: m dv/dt + F sign(v) + k x = 0, with f = F/k, turns at A' = A - 2 f and
// comes to rest at the first A <= f.
var sliding = Model{
	Name:       "sliding",
	Parameters: []Parameter{step},
	next: func(a float64, p []float64) float64 {
		if a <= p[0] {
			return -a
		}
		return a - 2*p[0]
	},
	split: func(from, to float64, _ []float64) []float64 { return []float64{fall(from, to)} },
}
