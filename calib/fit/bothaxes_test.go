package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

func pearson(t *testing.T) []Point {
	t.Helper()
	var p []Point
	for _, row := range table(t, "pearson_york.csv") {
		p = append(p, Point{X: row[0], Y: row[1], UX: 1 / math.Sqrt(row[2]), UY: 1 / math.Sqrt(row[3])})
	}
	return p
}

// Pearson's data with York's weights: York, Evensen, Martinez, De Basabe, Am. J. Phys.
// 72 (2004) 367 print slope -0.4805 (0.0580), intercept 5.4799 (0.2950); further
// digits recomputed, slope and intercept agree with an independent orthogonal distance
// regression to 2e-7.
func TestPearsonYork(t *testing.T) {
	c, err := BothAxes(pearson(t))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", c.Coefficients[1], -0.480533407446202, 1e-12)
	near(t, "intercept", c.Coefficients[0], 5.479910224032865, 1e-12)
	near(t, "u(slope)", c.U(1), 0.05798500900077443, 1e-11)
	near(t, "u(intercept)", c.U(0), 0.29497073549310854, 1e-11)
	near(t, "covariance", c.Covariance[0][1], -0.01647254465811581, 1e-11)
	near(t, "S", c.SumSquares, 11.866353194061444, 1e-12)
	near(t, "S/(n-2)", c.Scatter*c.Scatter, 1.4832941492576805, 1e-12)
	// The scaled convention, by the recipe in the doc comment.
	near(t, "scaled u(slope)", c.U(1)*c.Scatter, 0.07062026952877093, 1e-11)
}

// Which axis is called x makes no difference to the line.
func TestBothAxesSwap(t *testing.T) {
	p := pearson(t)
	for i := range p {
		p[i].R = 0.1 * float64(i%5-2)
	}
	a, err := BothAxes(p)
	if err != nil {
		t.Fatal(err)
	}
	for i, q := range p {
		p[i] = Point{X: q.Y, Y: q.X, UX: q.UY, UY: q.UX, R: q.R}
	}
	b, err := BothAxes(p)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", b.Coefficients[1], 1/a.Coefficients[1], 1e-11)
	near(t, "intercept", b.Coefficients[0], -a.Coefficients[0]/a.Coefficients[1], 1e-11)
	near(t, "S", b.SumSquares, a.SumSquares, 1e-11)
	near(t, "u(slope)", b.U(1), a.U(1)/math.Pow(a.Coefficients[1], 2), 1e-9)
}

// With exact x it is the weighted fit.
func TestBothAxesExactX(t *testing.T) {
	p := pearson(t)
	for i := range p {
		p[i].UX = 0
	}
	a, err := BothAxes(p)
	if err != nil {
		t.Fatal(err)
	}
	b, err := Weighted(p, Line)
	if err != nil {
		t.Fatal(err)
	}
	for k := range 2 {
		near(t, "coefficient", a.Coefficients[k], b.Coefficients[k], 1e-11)
		near(t, "its uncertainty", a.U(k), b.U(k), 1e-11)
	}
	near(t, "covariance", a.Covariance[0][1], b.Covariance[0][1], 1e-11)
	near(t, "prediction", a.Between(1, 3), b.Between(1, 3), 1e-10)
}

// Stated uncertainties against the scatter of repeated seeded fits, with deviations
// correlated between the axes.
func TestBothAxesMonteCarlo(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 1))
	const sets, rho = 4000, 0.6
	var slopes, intercepts, chi []float64
	var last Curve
	for range sets {
		var p []Point
		for i := range 10 {
			ux, uy := 0.05, 0.03+0.01*float64(i)
			a, b := r.NormFloat64(), r.NormFloat64()
			p = append(p, Point{
				X: float64(i) + ux*a, Y: 1 + 2*float64(i) + uy*(rho*a+math.Sqrt(1-rho*rho)*b),
				UX: ux, UY: uy, R: rho,
			})
		}
		c, err := BothAxes(p)
		if err != nil {
			t.Fatal(err)
		}
		slopes, intercepts, chi = append(slopes, c.Coefficients[1]), append(intercepts, c.Coefficients[0]), append(chi, c.SumSquares)
		last = c
	}
	slope, _ := Repeat(slopes)
	intercept, _ := Repeat(intercepts)
	s, _ := Repeat(chi)
	near(t, "mean slope", slope.Mean, 2, 4*slope.U)
	near(t, "standard deviation of the slope", slope.SD, last.U(1), 4/math.Sqrt(2*sets))
	near(t, "standard deviation of the intercept", intercept.SD, last.U(0), 4/math.Sqrt(2*sets))
	near(t, "mean chi squared", s.Mean, 8, 4*s.U/8)
}

func TestBothAxesRefusals(t *testing.T) {
	p := pearson(t)
	_, err := BothAxes(p[:2])
	refused(t, err, "2 points", "3")
	_, err = BothAxes([]Point{{X: 1, UX: 1, UY: 1}, {X: 1, UX: 1, UY: 1}, {X: 1, UX: 1, UY: 1}})
	refused(t, err, "1 different x")
	p[3].UX, p[3].UY = 0, 0
	_, err = BothAxes(p)
	refused(t, err, "point 4", "zero")
	p[3].UX, p[3].R = 1, 1
	_, err = BothAxes(p)
	refused(t, err, "point 4", "correlation 1")
	p[3].Y = math.NaN()
	_, err = BothAxes(p)
	refused(t, err, "point 4", "NaN")
}
