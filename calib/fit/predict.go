package fit

import (
	"fmt"
	"math"
)

// powers returns 1, z, z^2, ... at x, and the derivative of each with respect to x.
func (c *Curve) powers(x float64) (a, d []float64) {
	z := (x - c.centre) / c.scale
	a, d = make([]float64, c.Degree+1), make([]float64, c.Degree+1)
	power := 1.0
	for k := range a {
		a[k] = power
		if k+1 < len(d) {
			d[k+1] = float64(k+1) * power / c.scale
		}
		power *= z
	}
	return a, d
}

// At returns the curve's y at x and its standard uncertainty, from the uncertainty of
// the coefficients with their correlations and the standard uncertainty ux of x. The
// scatter of single readings is not in it.
func (c *Curve) At(x, ux float64) (y, u float64) {
	a, d := c.powers(x)
	variance := math.Pow(dot(d, c.z)*ux, 2) + quadratic(a, c.zcov, a)
	return dot(a, c.z), math.Sqrt(max(0, variance))
}

// Slope returns dy/dx at x.
func (c *Curve) Slope(x float64) float64 {
	_, d := c.powers(x)
	return dot(d, c.z)
}

// Between returns the covariance of the curve's y at two x. The uncertainty of a
// difference of two predictions needs it: they share the coefficients.
func (c *Curve) Between(x1, x2 float64) float64 {
	a1, _ := c.powers(x1)
	a2, _ := c.powers(x2)
	return quadratic(a1, c.zcov, a2)
}

// Inverse returns the x at which the curve has the value y, and its standard
// uncertainty, from the standard uncertainty uy of y and that of the curve there:
// u(x) = sqrt(uy^2 + u(curve)^2) / |slope|.
//
// A straight line is followed beyond its points; of a bent curve only the part
// between the outermost points is used, where it must rise or fall throughout.
func (c *Curve) Inverse(y, uy float64) (x, u float64, err error) {
	if !finite(y) || !(uy >= 0) || math.IsInf(uy, 0) {
		return 0, 0, fmt.Errorf("invert curve: y = %g, uncertainty %g: must be finite, the uncertainty not negative", y, uy)
	}
	if c.Degree == 1 {
		if c.z[1] == 0 {
			return 0, 0, fmt.Errorf("invert curve: the line is level: no x belongs to y = %g", y)
		}
		x = c.centre + c.scale*(y-c.z[0])/c.z[1]
	} else if x, err = c.find(y); err != nil {
		return 0, 0, err
	}
	_, own := c.At(x, 0)
	return x, math.Hypot(uy, own) / math.Abs(c.Slope(x)), nil
}

// find returns the x between Low and High with the value y, by bisection.
func (c *Curve) find(y float64) (float64, error) {
	if !c.monotone() {
		return 0, fmt.Errorf("invert curve: it turns between x = %g and %g: one y has several x", c.Low, c.High)
	}
	low, high := c.Low, c.High
	first, _ := c.At(low, 0)
	last, _ := c.At(high, 0)
	if y < min(first, last) || y > max(first, last) {
		return 0, fmt.Errorf("invert curve: y = %g: must lie between %.6g and %.6g, where the curve is known", y, first, last)
	}
	rising := last > first
	for {
		mid := low + (high-low)/2
		if mid <= low || mid >= high {
			return mid, nil
		}
		if v, _ := c.At(mid, 0); (v < y) == rising {
			low = mid
		} else {
			high = mid
		}
	}
}

// monotone reports whether the slope keeps its sign from Low to High. It is at most
// quadratic, so it suffices to look at the ends and where it has its extremum.
func (c *Curve) monotone() bool {
	at := []float64{c.Low, c.High}
	if c.Degree == 3 && c.z[3] != 0 {
		x := c.centre - c.scale*c.z[2]/(3*c.z[3])
		if x > c.Low && x < c.High {
			at = append(at, x)
		}
	}
	rising, falling := true, true
	for _, x := range at {
		s := c.Slope(x)
		rising, falling = rising && s > 0, falling && s < 0
	}
	return rising || falling
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * b[i]
	}
	return sum
}

// quadratic returns a'Vb.
func quadratic(a []float64, v [][]float64, b []float64) float64 {
	sum := 0.0
	for i := range a {
		sum += a[i] * dot(v[i], b)
	}
	return sum
}
