package loss

import "math"

// Quadratic friction grows as the square of the speed: fast air.
const Quadratic Part = "quadratic"

var drag = Parameter{Part: Quadratic, Name: "drag over mass", Unit: "1/m", power: 1}

// quadratic: m dv/dt + c v|v| + k x = 0, with b = c/m, turns where
//
//	(1 - q) e^q = (1 + p) e^-p,  p = 2 b A,  q = 2 b A'
//
// For small p the inverse amplitude grows by 4 b/3 per half swing. Own derivation from
// the first integral of the motion.
var quadratic = Model{
	Name:       "quadratic",
	Parameters: []Parameter{drag},
	next:       func(a float64, p []float64) float64 { return dragged(a, p[0]) },
	split:      func(from, to float64, _ []float64) []float64 { return []float64{fall(from, to)} },
}

// dragged returns the amplitude after half a swing under quadratic drag b alone.
func dragged(a, b float64) float64 {
	if b*a < 1e-12 { // the drag is beneath the last digit
		return a * (1 - 4*a*b/3)
	}
	return conjugate(2*b*a) / (2 * b)
}

// conjugate solves (1 - q) e^q = (1 + p) e^-p for q in [0, 1), given p >= 0: that is
// q = 1 + W(-(1+p) e^-(1+p)) with the upper branch of Lambert's W, which loses all
// digits for small p. In excess(x) = x - ln(1+x) the equation is
// excess(-q) = excess(p), and that keeps them.
func conjugate(p float64) float64 {
	if p > 1 {
		return 1 - far(p)
	}
	want := excess(p)
	q := p / (1 + 2*p/3)
	for range 50 {
		next := q - (excess(-q)-want)*(1-q)/q
		if math.Abs(next-q) <= 2e-16*q {
			return next
		}
		q = next
	}
	return q
}

// far returns u = 1 - q for larger p from ln u - u = ln(1+p) - (1+p), by Newton on
// ln u: there q is close to 1 and u holds the digits.
func far(p float64) float64 {
	want := math.Log1p(p) - 1 - p
	y := want
	for range 50 {
		u := math.Exp(y)
		step := (y - u - want) / (1 - u)
		y -= step
		if math.Abs(step) < 1e-16*(1+math.Abs(y)) {
			break
		}
	}
	return math.Exp(y)
}

// excess returns x - ln(1+x) without the loss of digits for small x: with
// y = x/(2+x), ln(1+x) = 2 artanh y and x = 2y/(1-y).
func excess(x float64) float64 {
	if math.Abs(x) > 0.6 {
		return x - math.Log1p(x)
	}
	y := x / (2 + x)
	square, power, sum := y*y, 1.0, 0.0
	for n := 3.0; power > 1e-18; n += 2 {
		sum += power / n
		power *= square
	}
	return 2*square/(1-y) - 2*y*square*sum
}
