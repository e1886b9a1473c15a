package loss

import "math"

// viscousQuadratic: m dv/dt + c v + b m v|v| + k x = 0 has no closed form. The map is
// half the viscous decay, the exact quadratic half swing, and the other half of the
// viscous decay: exact where either part is zero, and, since run backward it is its
// own inverse as the true motion is, right to second order in both. Against
// integration of the motion the amplitude lost is right to 0.1 % where a half swing
// takes up to a tenth of the amplitude, and to 1 % where it takes a third (test).
//
// The work is shared out as the parts take it at the mean amplitude, d to 4 b A/3;
// the shares are as good.
var viscousQuadratic = Model{
	Name:       "viscous + quadratic",
	Parameters: []Parameter{decrement, drag},
	next: func(a float64, p []float64) float64 {
		half := math.Exp(-p[0] / 2)
		return half * dragged(half*a, p[1])
	},
	split: func(from, to float64, p []float64) []float64 {
		slow, fast := p[0], 4*p[1]*(from+to)/6
		if slow+fast == 0 {
			return []float64{0, 0}
		}
		whole := fall(from, to)
		return []float64{whole * slow / (slow + fast), whole * fast / (slow + fast)}
	},
}
