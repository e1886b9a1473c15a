package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Regression is a model y = sum over k of coefficient k times a known number, fitted to
// readings y that may have sources of deviation in common.
type Regression struct {
	Joint                // the coefficients
	Residuals  []float64 // [y] readings less model
	SumSquares float64   // [1] of the residuals over their uncertainties, with the correlations by the sources
	Spare      int       // [1] readings less coefficients
	Scatter    float64   // [y] standard deviation that each reading has for itself besides its stated one; 0 where none is seen
}

// Agreement is [Curve.Agreement] for a regression with stated uncertainties.
func (r *Regression) Agreement() float64 {
	if r.Spare < 1 {
		return math.NaN()
	}
	return distuv.ChiSquared{K: float64(r.Spare)}.Survival(r.SumSquares)
}

// Stated fits by generalised least squares: rows[i] are the numbers that multiply the
// coefficients for reading y[i], which has the standard uncertainty u[i] for itself,
// and sources are what the readings share. With e_s the effects of a source the
// covariance of the readings is V = diag(u^2) + sum e_s e_s', the coefficients are
// (A'V^-1 A)^-1 A'V^-1 y. They are linear in the readings, and so what the readings' own
// scatter and each source do to them is kept apart in the [Joint].
//
// It wants u > 0, as many readings as coefficients, and rows that tell the coefficients
// apart.
func Stated(rows [][]float64, y, u []float64, sources []Source) (Regression, error) {
	const doing = "fit with stated uncertainties"
	if err := checkRows(doing, rows, y, u, sources); err != nil {
		return Regression{}, err
	}
	for i, v := range u {
		if v == 0 {
			return Regression{}, fmt.Errorf("%s: reading %d: uncertainty is zero: must be positive", doing, i+1)
		}
	}
	a, err := augment(doing, rows, y, u, sources)
	if err != nil {
		return Regression{}, err
	}
	return a.regression(), nil
}

// Scattered does the same where the readings have, besides u (which may be zero
// throughout), one unknown standard deviation: the one with which the sum of squares
// comes to the number of spare readings (Paule and Mandel, J. Res. Natl. Bur. Stand. 87
// (1982) 377, here with sources; from memory). Without u and sources that is ordinary
// least squares. Where sources alone would explain the residuals of readings of which
// nothing is stated, the readings are still given that of ordinary least squares: a source
// that can make them so need not have done it.
//
// It wants more readings than coefficients.
func Scattered(rows [][]float64, y, u []float64, sources []Source) (Regression, error) {
	const doing = "fit with unknown scatter"
	if err := checkRows(doing, rows, y, u, sources); err != nil {
		return Regression{}, err
	}
	spare := len(y) - len(rows[0])
	if spare < 1 {
		return Regression{}, fmt.Errorf("%s: %d readings for %d coefficients leave no scatter to judge by: at least %d are needed",
			doing, len(y), len(rows[0]), len(rows[0])+1)
	}
	with := func(scatter float64) (*augmented, error) {
		all := make([]float64, len(y))
		for i := range all {
			all[i] = math.Hypot(u[i], scatter)
		}
		return augment(doing, rows, y, all, sources)
	}
	plain := make([]float64, len(y))
	for i := range plain {
		plain[i] = 1
	}
	ordinary, err := augment(doing, rows, y, plain, nil)
	if err != nil {
		return Regression{}, err
	}
	high := math.Sqrt(ordinary.squares / float64(spare))
	scatter, dof := 1e-12*norm(y), float64(spare) // on the model to the last digit
	if high > 0 {
		if scatter, err = balance(with, 1e-4*high, high, float64(spare)); err != nil {
			return Regression{}, err
		}
	} else if scatter == 0 {
		return Regression{}, fmt.Errorf("%s: all readings are zero", doing)
	}
	switch {
	case scatter > 0:
	case norm(u) == 0: // nothing is stated of the readings: what they show may be all their own
		scatter = high
	default:
		scatter, dof = 1e-4*high, math.Inf(1)
	}
	found, err := with(scatter)
	if err != nil {
		return Regression{}, err
	}
	r := found.regression()
	r.Scatter, r.DoF = scatter, dof
	return r, nil
}

// balance finds the scatter between two bounds with which the sum of squares comes to
// the spare readings, by false position in its logarithm. All the scatter of the
// residuals is too much where there are other causes of it; hardly any is too little, or
// else the stated uncertainties explain the readings: then it returns zero.
func balance(with func(scatter float64) (*augmented, error), low, high, spare float64) (float64, error) {
	over := func(scatter float64) (float64, error) {
		a, err := with(scatter)
		if err != nil {
			return 0, err
		}
		return math.Log(a.squares / spare), nil
	}
	below, err := over(high)
	if err != nil || below > -1e-9 {
		return high, err
	}
	above, err := over(low)
	if err != nil || above <= 0 {
		return 0, err
	}
	for range 100 {
		middle := low * math.Pow(high/low, above/(above-below))
		v, err := over(middle)
		if err != nil || math.Abs(v) < 1e-9 || high < low*(1+1e-12) {
			return middle, err
		}
		// An end that stays is made light of, or it would hold up the other (Illinois).
		if v > 0 {
			low, above, below = middle, v, below/2
		} else {
			high, below, above = middle, v, above/2
		}
	}
	return 0, fmt.Errorf("fit with unknown scatter: it does not settle between %g and %g", low, high)
}

func checkRows(doing string, rows [][]float64, y, u []float64, sources []Source) error {
	if len(rows) == 0 || len(rows) != len(y) || len(rows) != len(u) {
		return fmt.Errorf("%s: %d rows, %d readings, %d uncertainties: must be as many of each, and some", doing, len(rows), len(y), len(u))
	}
	for i, row := range rows {
		if len(row) != len(rows[0]) || len(row) == 0 {
			return fmt.Errorf("%s: row %d has %d numbers, the first %d: must be as many", doing, i+1, len(row), len(rows[0]))
		}
		if !finite(y[i]) || !finite(norm(row)) || !(u[i] >= 0) || math.IsInf(u[i], 0) {
			return fmt.Errorf("%s: reading %d = %g, uncertainty %g: must be finite numbers, the uncertainty not negative", doing, i+1, y[i], u[i])
		}
	}
	for _, s := range sources {
		if len(s.Effects) != len(y) || !finite(norm(s.Effects)) {
			return fmt.Errorf("%s: source %q: must have one finite effect for each reading", doing, s.Name)
		}
	}
	if len(y) < len(rows[0]) {
		return fmt.Errorf("%s: %d readings for %d coefficients: at least %d are needed", doing, len(y), len(rows[0]), len(rows[0]))
	}
	return nil
}

// augmented is a regression in which each source is one more coefficient, by how many of
// its standard uncertainties its input was off, with one more reading that says 0 with
// uncertainty 1. That is generalised least squares without a matrix as large as the
// readings are many, and with the same sum of squares.
type augmented struct {
	rows    [][]float64
	y, u    []float64
	sources []Source
	qr      mat.QR
	scale   []float64 // of the columns, whose length is made one
	squares float64   // [1] sum of squares
}

func augment(doing string, rows [][]float64, y, u []float64, sources []Source) (*augmented, error) {
	n, terms, m := len(y), len(rows[0]), len(sources)
	a := &augmented{rows: rows, y: y, u: u, sources: sources, scale: make([]float64, terms+m)}
	matrix, readings := mat.NewDense(n+m, terms+m, nil), mat.NewVecDense(n+m, nil)
	for i := range n {
		for k, x := range rows[i] {
			matrix.Set(i, k, x/u[i])
		}
		for k, s := range sources {
			matrix.Set(i, terms+k, s.Effects[i]/u[i])
		}
		readings.SetVec(i, y[i]/u[i])
	}
	for k := range m {
		matrix.Set(n+k, terms+k, 1)
	}
	for k := range a.scale {
		a.scale[k] = mat.Norm(matrix.ColView(k), 2)
		for i := range n + m {
			matrix.Set(i, k, matrix.At(i, k)/a.scale[k])
		}
	}
	a.qr.Factorize(matrix)
	if c := a.qr.Cond(); !(c < 1e12) {
		return nil, fmt.Errorf("%s: %d readings do not tell %d coefficients apart: more different settings are needed", doing, n, terms)
	}
	var solution, residuals mat.VecDense
	_ = a.qr.SolveVecTo(&solution, false, readings) // its condition was looked at
	residuals.MulVec(matrix, &solution)
	residuals.SubVec(readings, &residuals)
	a.squares = mat.Dot(&residuals, &residuals)
	return a, nil
}

// regression works out the coefficients from the matrix that turns readings into them,
// and what each reading's own scatter and each source do to them.
func (a *augmented) regression() Regression {
	n, terms := len(a.y), len(a.rows[0])
	white := mat.NewDense(n+len(a.sources), n, nil)
	for i, u := range a.u {
		white.Set(i, i, 1/u)
	}
	var gain mat.Dense
	_ = a.qr.SolveTo(&gain, false, white) // its condition was looked at
	r := Regression{SumSquares: a.squares, Spare: n - terms}
	r.DoF, r.Values, r.Own = math.Inf(1), make([]float64, terms), square(terms)
	for k := range terms {
		g := gain.RawRowView(k)
		for i := range g {
			g[i] /= a.scale[k]
		}
		r.Values[k] = dot(g, a.y)
		for l := range k + 1 {
			h := gain.RawRowView(l)
			for i, u := range a.u {
				r.Own[k][l] += g[i] * h[i] * u * u
			}
			r.Own[l][k] = r.Own[k][l]
		}
	}
	for _, s := range a.sources {
		effects := make([]float64, terms)
		for k := range effects {
			effects[k] = dot(gain.RawRowView(k), s.Effects)
		}
		r.Sources = append(r.Sources, Source{s.Name, effects})
	}
	for i, row := range a.rows {
		r.Residuals = append(r.Residuals, a.y[i]-dot(row, r.Values))
	}
	return r
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }
