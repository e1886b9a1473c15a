package loss

// quadraticSliding: quadratic drag about the neutral point that sliding friction
// shifts by f: from A - f to A' + f. Exact.
var quadraticSliding = Model{
	Name:       "quadratic + sliding",
	Parameters: []Parameter{drag, step},
	next: func(a float64, p []float64) float64 {
		if a <= p[1] {
			return -a
		}
		return dragged(a-p[1], p[0]) - p[1]
	},
	split: func(from, to float64, p []float64) []float64 {
		rubbed := rubbing(from, to, p[1])
		return []float64{fall(from, to) - rubbed, rubbed}
	},
}
