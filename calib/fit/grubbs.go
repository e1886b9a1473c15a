package fit

import (
	"fmt"
	"math"
)

// Side says which readings may be the odd one.
type Side int

// The sides. Mixing them up is the usual mistake: the same statistic has a larger
// critical value when either end was looked at.
const (
	EitherSide Side = iota
	Largest
	Smallest
)

// GrubbsTest is the outcome of [Grubbs].
type GrubbsTest struct {
	Index    int     // [1] of the reading farthest out
	G        float64 // [1] its distance from the mean in standard deviations of all readings
	Critical float64 // [1] what G exceeds with probability alpha when all readings are of one kind
	Outlier  bool    // G exceeds Critical
}

// Grubbs tests whether the reading farthest from the mean belongs to the others, which
// are taken as normal. Alpha is the probability to suspect a good one. Outliers are
// for the person to explain; this test removes nothing, and it is made once: after a
// removal the probability no longer holds.
//
// It wants three readings or more that are not all alike.
//
// Source: Grubbs, Procedures for detecting outlying observations in samples,
// Technometrics 11 (1969) 1; critical value from Student's t with n - 2 degrees of
// freedom at alpha/n, or alpha/(2n) for either side (NIST/SEMATECH e-Handbook of
// Statistical Methods 1.3.5.17.1).
func Grubbs(readings []float64, alpha float64, side Side) (GrubbsTest, error) {
	const doing = "test for an outlier"
	if err := checkReadings(doing, readings, 3); err != nil {
		return GrubbsTest{}, err
	}
	if !(alpha > 0 && alpha < 1) {
		return GrubbsTest{}, fmt.Errorf("%s: alpha %g: must lie between 0 and 1", doing, alpha)
	}
	all, err := Repeat(readings)
	if err != nil {
		return GrubbsTest{}, err
	}
	if all.SD == 0 {
		return GrubbsTest{}, fmt.Errorf("%s: all %d readings are alike: none stands out", doing, len(readings))
	}
	test := GrubbsTest{G: math.Inf(-1)}
	for i, r := range readings {
		g := (r - all.Mean) / all.SD
		switch side {
		case EitherSide:
			g = math.Abs(g)
		case Smallest:
			g = -g
		}
		if g > test.G {
			test.Index, test.G = i, g
		}
	}
	n := float64(len(readings))
	tail := alpha / n
	if side == EitherSide {
		tail /= 2
	}
	t, err := Coverage(1-2*tail, n-2)
	if err != nil {
		return GrubbsTest{}, err
	}
	test.Critical = (n - 1) / math.Sqrt(n) * math.Sqrt(t*t/(n-2+t*t))
	test.Outlier = test.G > test.Critical
	return test, nil
}
