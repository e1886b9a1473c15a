package fit

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Model is the form of a curve y = b0 + b1 x + b2 x^2 + b3 x^3.
type Model struct {
	Degree int  // [1] highest power, 1 to 3: a calibration of higher degree follows its noise
	Origin bool // the curve passes through the origin: b0 = 0 exactly
}

// Common models.
var (
	Line       = Model{Degree: 1}
	Quadratic  = Model{Degree: 2}
	OriginLine = Model{Degree: 1, Origin: true}
)

// first returns the lowest power of the model, terms the number of its coefficients.
func (m Model) first() int {
	if m.Origin {
		return 1
	}
	return 0
}

func (m Model) terms() int { return m.Degree + 1 - m.first() }

// Curve is a fitted polynomial.
type Curve struct {
	Model
	Coefficients []float64   // [y/x^k] b_k of x^k; b0 = 0 through the origin
	Covariance   [][]float64 // [y2/x^(j+k)] of b_j and b_k

	Residuals  []float64 // [y] readings less curve, in the order of the points
	SumSquares float64   // [y2] of the residuals (ordinary), or [1] of the residuals over their uncertainties
	DoF        int       // [1] points less coefficients
	Scatter    float64   // [y] standard deviation of the residuals (ordinary), or [1] of the residuals over their uncertainties
	RSquared   float64   // [1] 1 less the share of the scatter that is left; about zero through the origin
	Low, High  float64   // [x] of the outermost points

	// The same curve in z = (x - centre)/scale, where its coefficients are hardly
	// correlated: predictions are made from these.
	centre, scale float64
	z             []float64
	zcov          [][]float64
}

// U returns the standard uncertainty of the coefficient of x^k.
func (c *Curve) U(k int) float64 { return math.Sqrt(c.Covariance[k][k]) }

// Correlation returns the correlation coefficient of two coefficients.
func (c *Curve) Correlation(j, k int) float64 { return c.Covariance[j][k] / (c.U(j) * c.U(k)) }

// Agreement returns, for a fit with stated uncertainties, the probability that
// readings with just these uncertainties scatter as much about the curve or more.
// Below 0.05 the uncertainties are too small or the model is wrong. It is NaN where
// there are no degrees of freedom.
func (c *Curve) Agreement() float64 {
	if c.DoF < 1 {
		return math.NaN()
	}
	return distuv.ChiSquared{K: float64(c.DoF)}.Survival(c.SumSquares)
}

// fromScaled sets Coefficients and Covariance from the scaled ones. By the binomial
// theorem b_j is the sum over k of z_k C(k, j) (-centre)^(k-j) / scale^k.
func (c *Curve) fromScaled() {
	n, first := c.Degree+1, c.first()
	t := square(n)
	for k := first; k < n; k++ {
		for j := first; j <= k; j++ {
			t[j][k] = binomial(k, j) * math.Pow(-c.centre, float64(k-j)) / math.Pow(c.scale, float64(k))
		}
	}
	c.Coefficients = make([]float64, n)
	for j := range n {
		for k := range n {
			c.Coefficients[j] += t[j][k] * c.z[k]
		}
	}
	c.Covariance = Transform(t, c.zcov)
}

func binomial(n, k int) float64 {
	b := 1.0
	for i := range k {
		b = b * float64(n-i) / float64(i+1)
	}
	return b
}

func square(n int) [][]float64 {
	m := make([][]float64, n)
	for i := range m {
		m[i] = make([]float64, n)
	}
	return m
}
