package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Curvature tells whether the readings ask for the larger of two models fitted to
// them by [Ordinary], say a quadratic in place of a line. It returns the F statistic
// and the probability that scatter alone makes it as large or larger: below 0.01 the
// larger model is needed.
func Curvature(smaller, larger *Curve) (f, probability float64, err error) {
	if len(smaller.Residuals) != len(larger.Residuals) || smaller.DoF <= larger.DoF {
		return 0, 0, fmt.Errorf("compare curves: %d points with %d coefficients and %d with %d: must be the same points, the second with more coefficients",
			len(smaller.Residuals), smaller.terms(), len(larger.Residuals), larger.terms())
	}
	more, dof := float64(smaller.DoF-larger.DoF), float64(larger.DoF)
	gained := smaller.SumSquares - larger.SumSquares
	if larger.SumSquares == 0 {
		if gained <= 0 {
			return 0, 1, nil
		}
		return math.Inf(1), 0, nil
	}
	f = max(0, gained) / more / (larger.SumSquares / dof)
	return f, distuv.F{D1: more, D2: dof}.Survival(f), nil
}
