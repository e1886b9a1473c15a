package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// WelchTest is how far the means of two sets of readings lie apart.
type WelchTest struct {
	Difference float64 // [reading] mean of the first less that of the second
	U          float64 // [reading] its standard uncertainty
	T          float64 // [1] Difference over U
	DoF        float64 // [1] effective degrees of freedom of U
	P          float64 // [1] probability that as large a T, of either sign, comes where there is no difference
}

// Welch compares the means of two sets of readings that need not scatter alike, nor be as
// many:
//
//	u^2 = s1^2/n1 + s2^2/n2
//	dof = u^4 / [(s1^2/n1)^2/(n1-1) + (s2^2/n2)^2/(n2-1)]
//
// It wants two readings or more of each, that are not all alike.
//
// Source: Welch, The generalization of Student's problem when several different
// population variances are involved, Biometrika 34 (1947) 28; degrees of freedom also by
// Satterthwaite, Biometrics Bulletin 2 (1946) 110, and GUM G.4.1. In this form in the
// NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.3.
func Welch(a, b Repeats) (WelchTest, error) {
	return WelchShared(a, b, 0)
}

// WelchShared is [Welch] for readings that besides may be off together: by shared, the
// standard uncertainty of the difference that no further readings would lessen, and that
// was stated beforehand (its degrees of freedom count as infinite).
func WelchShared(a, b Repeats, shared float64) (WelchTest, error) {
	const doing = "compare two means"
	if a.N < 2 || b.N < 2 {
		return WelchTest{}, fmt.Errorf("%s: %d and %d readings: at least 2 of each are needed", doing, a.N, b.N)
	}
	if !(shared >= 0) || !finite(shared) || !finite(a.Mean) || !finite(b.Mean) {
		return WelchTest{}, fmt.Errorf("%s: %g and %g, uncertain together by %g: must be finite numbers, the last not negative", doing, a.Mean, b.Mean, shared)
	}
	va, vb := a.U*a.U, b.U*b.U
	variance := va + vb + shared*shared
	if !(variance > 0) {
		return WelchTest{}, fmt.Errorf("%s: the readings of each are all alike: their resolution hides the scatter", doing)
	}
	w := WelchTest{Difference: a.Mean - b.Mean, U: math.Sqrt(variance), DoF: math.Inf(1)}
	if scatter := va*va/a.DoF() + vb*vb/b.DoF(); scatter > 0 {
		w.DoF = variance * variance / scatter
	}
	w.T = w.Difference / w.U
	w.P = EitherTail(w.T, w.DoF)
	return w, nil
}

// Interval returns the bounds that hold the true difference with a probability.
func (w *WelchTest) Interval(probability float64) (low, high float64, err error) {
	k, err := Coverage(probability, w.DoF)
	return w.Difference - k*w.U, w.Difference + k*w.U, err
}

// EitherTail returns the probability that Student's t with so many degrees of freedom, or
// +Inf for the normal distribution, is as far from zero as t.
func EitherTail(t, dof float64) float64 {
	if dof > normalFrom {
		return 2 * distuv.UnitNormal.CDF(-math.Abs(t))
	}
	return 2 * distuv.StudentsT{Sigma: 1, Nu: dof}.CDF(-math.Abs(t))
}

// Holm returns, for the probabilities of tests made side by side, those of at least one
// so small among them all by chance: the smallest times their number, the next times one
// less, and so on, none less than the one before it (Holm, A simple sequentially
// rejective multiple test procedure, Scandinavian Journal of Statistics 6 (1979) 65).
func Holm(p []float64) []float64 {
	among := make([]float64, len(p))
	least := 0.0
	for done, next := make([]bool, len(p)), len(p); next > 0; next-- {
		at := -1
		for i := range p {
			if !done[i] && (at < 0 || p[i] < p[at]) {
				at = i
			}
		}
		least = max(least, min(1, float64(next)*p[at]))
		among[at], done[at] = least, true
	}
	return among
}
