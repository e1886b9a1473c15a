package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

func fitted(t *testing.T, m Model, f func(x float64) float64, xs ...float64) Curve {
	t.Helper()
	var p []Point
	for _, x := range xs {
		p = append(p, Point{X: x, Y: f(x), UY: 0.1})
	}
	c, err := Weighted(p, m)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Going back from a prediction must give the x it was made for, and slope and
// uncertainty must agree with differences of the curve itself.
func TestInverseGoesBack(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for _, test := range []struct {
		model Model
		f     func(x float64) float64
	}{
		{Line, func(x float64) float64 { return 4 - 0.5*x }},
		{OriginLine, func(x float64) float64 { return 3 * x }},
		{Quadratic, func(x float64) float64 { return 1 + 2*x + 0.1*x*x }},
		{Model{Degree: 3}, func(x float64) float64 { return -x*x*x/50 - x }},
	} {
		c := fitted(t, test.model, test.f, 0, 1, 2, 3, 5, 8)
		for range 100 {
			x := 8 * r.Float64()
			y, own := c.At(x, 0)
			back, u, err := c.Inverse(y, 0.2)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "x", back-x+1, 1, 1e-10)
			const h = 1e-5
			above, _ := c.At(x+h, 0)
			below, _ := c.At(x-h, 0)
			slope := (above - below) / (2 * h)
			near(t, "slope", c.Slope(x), slope, 1e-7)
			near(t, "u(x)", u, math.Hypot(0.2, own)/math.Abs(slope), 1e-7)
			_, with := c.At(x, 0.3)
			near(t, "u(y) with u(x)", with, math.Hypot(own, 0.3*slope), 1e-7)
			near(t, "variance at one x", c.Between(x, x), own*own, 1e-9)
		}
	}
}

func TestInverseRefusals(t *testing.T) {
	turning := fitted(t, Quadratic, func(x float64) float64 { return x * x }, -1, 0, 1, 2)
	_, _, err := turning.Inverse(0.5, 0)
	refused(t, err, "turns", "-1", "2")
	waving := fitted(t, Model{Degree: 3}, func(x float64) float64 { return x*x*x - 0.5*x }, -1, -0.5, 0, 0.5, 1)
	_, _, err = waving.Inverse(0, 0)
	refused(t, err, "turns")
	rising := fitted(t, Quadratic, func(x float64) float64 { return x * x }, 1, 2, 3)
	_, _, err = rising.Inverse(10, 0)
	refused(t, err, "y = 10", "9")
	_, _, err = rising.Inverse(0.5, 0)
	refused(t, err, "y = 0.5", "1")
	_, _, err = rising.Inverse(math.NaN(), 0)
	refused(t, err, "NaN")
	_, _, err = rising.Inverse(4, -1)
	refused(t, err, "-1")
	level := fitted(t, Line, func(float64) float64 { return 0 }, 1, 2, 3)
	_, _, err = level.Inverse(4, 0)
	refused(t, err, "level")
}
