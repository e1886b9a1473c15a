package plan

import "math"

// EffectiveFraction returns the share f of a uniform spring's mass that swings with the
// bob in its lowest mode: w^2 = rate/(bob + f spring).
//
// ratio is spring mass over bob mass [1], zero or positive; +Inf stands for no bob. With
// x the first root of x tan x = ratio, f = 1/x^2 - 1/ratio. It grows from 1/3 (light
// spring, Rayleigh) to 4/pi^2.
func EffectiveFraction(ratio float64) float64 {
	x := root(ratio)
	if x > 0.1 {
		return 1/(x*x) - 1/ratio
	}
	// (1 - x cot x)/x^2 in powers of x^2: the difference would lose digits.
	y := x * x
	return 1./3 + y*(1./45+y*(2./945+y*(1./4725+y*2/93555)))
}

// root returns the first root of x tan x = ratio, by Newton's method on
// x sin x - ratio cos x from above, where that curve bends one way.
func root(ratio float64) float64 {
	if math.IsInf(ratio, 1) {
		return math.Pi / 2
	}
	x := min(math.Pi/2, math.Sqrt(ratio)) // tan x > x, so the root lies below both
	for range 60 {
		sine, cosine := math.Sincos(x)
		step := (x*sine - ratio*cosine) / (sine + x*cosine + ratio*sine)
		if !(math.Abs(step) > 1e-16*x) { // a ratio of zero ends here as well
			break
		}
		x -= step
	}
	return x
}
