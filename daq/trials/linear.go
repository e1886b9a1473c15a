package trials

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// linear is a model y = sum over k of coefficient k times a known number, fitted to
// readings of one scatter by least squares. Rows come one by one, so that many models are
// tried in little time.
type linear struct {
	terms  int
	normal []float64 // upper triangle, row by row
	right  []float64
	square float64 // sum of y^2
	n      int
}

func newLinear(terms int) *linear {
	return &linear{terms: terms, normal: make([]float64, terms*terms), right: make([]float64, terms)}
}

func (l *linear) add(row []float64, y float64) {
	for i, a := range row {
		to := l.normal[i*l.terms:][i:l.terms]
		for j, b := range row[i:] {
			to[j] += a * b
		}
		l.right[i] += a * y
	}
	l.square += y * y
	l.n++
}

// prior holds coefficient k at zero with a standard uncertainty, in units of the scatter.
func (l *linear) prior(k int, u float64) {
	l.normal[k*l.terms+k] += 1 / (u * u)
	l.n++
}

// solution is what fits best.
type solution struct {
	values []float64
	cover  *mat.SymDense // covariance for a scatter of 1
	misfit float64       // sum of squares that is left
	spare  int           // readings less coefficients
}

// solve reports false where the rows do not tell the coefficients apart.
func (l *linear) solve() (solution, bool) {
	const likeness = 1e12 // of coefficients at most
	var c mat.Cholesky
	if l.n <= l.terms || !c.Factorize(mat.NewSymDense(l.terms, l.normal)) || c.Cond() > likeness {
		return solution{}, false
	}
	s := solution{values: make([]float64, l.terms), cover: mat.NewSymDense(l.terms, nil), spare: l.n - l.terms}
	x, y := mat.NewVecDense(l.terms, s.values), mat.NewVecDense(l.terms, l.right)
	if c.SolveVecTo(x, y) != nil || c.InverseTo(s.cover) != nil {
		return solution{}, false
	}
	s.misfit = math.Max(0, l.square-mat.Dot(x, y))
	return s, true
}

// u is the standard uncertainty of coefficient k for a scatter of 1.
func (s *solution) u(k int) float64 { return math.Sqrt(math.Max(0, s.cover.At(k, k))) }

// uOf is the standard uncertainty, for a scatter of 1, of what depends on the first
// coefficients with these slopes.
func (s *solution) uOf(slopes []float64) float64 {
	sum := 0.0
	for i, a := range slopes {
		for j, b := range slopes {
			sum += a * b * s.cover.At(i, j)
		}
	}
	return math.Sqrt(math.Max(0, sum))
}

// at is the model's value for a row.
func (s *solution) at(row []float64) float64 {
	sum := 0.0
	for i, a := range row {
		sum += a * s.values[i]
	}
	return sum
}
