package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
)

// Ordinary fits a polynomial by least squares to points whose x are exact and whose
// y all have the same, unknown standard deviation: uncertainties of the points are
// ignored. With A the matrix of the powers of x and s^2 = sum of squares / DoF the
// covariance is s^2 (A'A)^-1.
//
// It wants more points than coefficients and at least as many different x.
func Ordinary(points []Point, m Model) (Curve, error) {
	const doing = "fit by ordinary least squares"
	if err := checkModel(doing, points, m); err != nil {
		return Curve{}, err
	}
	if len(points) <= m.terms() {
		return Curve{}, fmt.Errorf("%s: %d points for %d coefficients leave no scatter to judge by: at least %d are needed",
			doing, len(points), m.terms(), m.terms()+1)
	}
	weights := make([]float64, len(points))
	for i := range weights {
		weights[i] = 1
	}
	c := solve(points, weights, m)
	for _, row := range c.zcov {
		for k := range row {
			row[k] *= c.Scatter * c.Scatter
		}
	}
	c.fromScaled()
	return c, nil
}

// Weighted fits a polynomial by least squares to points whose x are exact and whose y
// have the stated standard uncertainties. With W the matrix of the weights 1/UY^2 the
// covariance is (A'WA)^-1: it rests on what was stated and is not scaled by the
// scatter seen. Whether the two agree is told by [Curve.Agreement].
//
// It wants UY > 0 and UX = 0 throughout and as many different x as coefficients.
func Weighted(points []Point, m Model) (Curve, error) {
	const doing = "fit by weighted least squares"
	if err := checkModel(doing, points, m); err != nil {
		return Curve{}, err
	}
	weights := make([]float64, len(points))
	for i, p := range points {
		if p.UY == 0 {
			return Curve{}, fmt.Errorf("%s: point %d: uncertainty of y is zero: must be positive to weigh by", doing, i+1)
		}
		if p.UX != 0 {
			return Curve{}, fmt.Errorf("%s: point %d: uncertainty of x is %g: must be zero here, see BothAxes", doing, i+1, p.UX)
		}
		weights[i] = 1 / p.UY
	}
	c := solve(points, weights, m)
	c.fromScaled()
	return c, nil
}

func checkModel(doing string, points []Point, m Model) error {
	if m.Degree < 1 || m.Degree > 3 {
		return fmt.Errorf("%s: degree %d: must be 1, 2 or 3", doing, m.Degree)
	}
	if err := check(doing, points); err != nil {
		return err
	}
	different := distinct(points)
	for _, p := range points {
		if m.Origin && p.X == 0 {
			different-- // a point at x = 0 says nothing about a curve through the origin
			break
		}
	}
	if different < m.terms() {
		return fmt.Errorf("%s: %d points with %d different x: %d coefficients need at least %d",
			doing, len(points), different, m.terms(), m.terms())
	}
	return nil
}

// solve finds the scaled coefficients by QR factorisation and, as their covariance,
// (A'WA)^-1 = R^-1 R^-T. Centring and scaling keep the condition number small: of the
// loads of a force calibration, up to millions, raw squares would cost six digits.
func solve(points []Point, weights []float64, m Model) Curve {
	first, terms := m.first(), m.terms()
	c := Curve{Model: m, DoF: len(points) - terms}
	c.Low, c.High = span(points)
	if !m.Origin {
		for _, p := range points {
			c.centre += p.X / float64(len(points))
		}
	}
	c.scale = max(math.Abs(c.Low-c.centre), math.Abs(c.High-c.centre))

	a := mat.NewDense(len(points), terms, nil)
	y := mat.NewVecDense(len(points), nil)
	for i, p := range points {
		z := (p.X - c.centre) / c.scale
		for k := range terms {
			a.Set(i, k, weights[i]*math.Pow(z, float64(k+first)))
		}
		y.SetVec(i, weights[i]*p.Y)
	}
	var qr mat.QR
	qr.Factorize(a)
	var z mat.VecDense
	var r, inverse mat.Dense
	// The condition is bounded by the checks of the caller, the warnings of these
	// two calls say no more.
	_ = qr.SolveVecTo(&z, false, y)
	qr.RTo(&r)
	square := r.Slice(0, terms, 0, terms)
	_ = inverse.Inverse(square)
	var covariance mat.Dense
	covariance.Mul(&inverse, inverse.T())

	c.z = make([]float64, m.Degree+1)
	c.zcov = make([][]float64, m.Degree+1)
	for j := range c.z {
		c.zcov[j] = make([]float64, m.Degree+1)
		if j < first {
			continue
		}
		c.z[j] = z.AtVec(j - first)
		for k := first; k <= m.Degree; k++ {
			c.zcov[j][k] = covariance.At(j-first, k-first)
		}
	}
	c.judge(points, weights)
	return c
}

// judge finds residuals, scatter and R squared.
func (c *Curve) judge(points []Point, weights []float64) {
	var mean, total, norm float64
	if !c.Origin {
		for i, p := range points {
			mean += weights[i] * weights[i] * p.Y
			norm += weights[i] * weights[i]
		}
		mean /= norm
	}
	for i, p := range points {
		y, _ := c.At(p.X, 0)
		c.Residuals = append(c.Residuals, p.Y-y)
		c.SumSquares += math.Pow(weights[i]*(p.Y-y), 2)
		total += math.Pow(weights[i]*(p.Y-mean), 2)
	}
	c.RSquared = 1 - c.SumSquares/total
	c.Scatter = math.NaN()
	if c.DoF > 0 {
		c.Scatter = math.Sqrt(c.SumSquares / float64(c.DoF))
	}
}
