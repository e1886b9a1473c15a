package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Coverage returns the coverage factor: the t for which a fraction p of Student's
// distribution with so many degrees of freedom lies within -t and t (GUM G.3.2).
// Degrees of freedom may be fractional, or +Inf for the normal distribution. The GUM
// lets effective degrees of freedom be rounded down first; that is the caller's
// choice.
func Coverage(p, dof float64) (float64, error) {
	if !(p > 0 && p < 1) {
		return 0, fmt.Errorf("find coverage factor: probability %g: must lie between 0 and 1", p)
	}
	if !(dof > 0) {
		return 0, fmt.Errorf("find coverage factor: %g degrees of freedom: must be positive", dof)
	}
	if dof > normalFrom {
		return distuv.UnitNormal.Quantile((1 + p) / 2), nil
	}
	return distuv.StudentsT{Sigma: 1, Nu: dof}.Quantile((1 + p) / 2), nil
}

// normalFrom is from where on Student's distribution is taken for the normal one. Their
// factors differ by less than 2 parts in dof there, while the quantile that we use
// loses its digits beyond some 1e10 degrees of freedom.
const normalFrom = 1e8

// Standard uncertainty of a quantity of which only bounds are known, at distance
// halfWidth on either side (GUM 4.3.7, 4.3.9; the last for a quantity that swings as a
// sinusoid between the bounds).

// Rectangular is for any value within the bounds as likely as another: a reading's
// resolution, a rated class.
func Rectangular(halfWidth float64) float64 { return halfWidth / math.Sqrt(3) }

// Triangular is for values near the middle likelier than those near the bounds.
func Triangular(halfWidth float64) float64 { return halfWidth / math.Sqrt(6) }

// Arcsine is for a quantity that swings between the bounds.
func Arcsine(halfWidth float64) float64 { return halfWidth / math.Sqrt2 }
