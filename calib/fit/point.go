package fit

import (
	"fmt"
	"math"
)

// Point is one pair of readings.
type Point struct {
	X  float64 // [x] setting or first reading
	Y  float64 // [y] second reading
	UX float64 // [x] standard uncertainty of X; 0 = exact
	UY float64 // [y] standard uncertainty of Y; 0 = exact or not stated
	R  float64 // [1] correlation of the deviations of X and Y, between -1 and 1
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// check refuses points that are not numbers.
func check(doing string, points []Point) error {
	for i, p := range points {
		switch {
		case !finite(p.X) || !finite(p.Y):
			return fmt.Errorf("%s: point %d: (%g, %g): must be two finite numbers", doing, i+1, p.X, p.Y)
		case !(p.UX >= 0) || !(p.UY >= 0) || math.IsInf(p.UX, 0) || math.IsInf(p.UY, 0):
			return fmt.Errorf("%s: point %d: uncertainties %g and %g: must be zero or positive", doing, i+1, p.UX, p.UY)
		case !(math.Abs(p.R) <= 1):
			return fmt.Errorf("%s: point %d: correlation %g: must lie between -1 and 1", doing, i+1, p.R)
		}
	}
	return nil
}

// distinct returns how many different x the points have.
func distinct(points []Point) int {
	seen := make(map[float64]bool, len(points))
	for _, p := range points {
		seen[p.X] = true
	}
	return len(seen)
}

// span returns the smallest and the largest x.
func span(points []Point) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, p := range points {
		low, high = min(low, p.X), max(high, p.X)
	}
	return low, high
}
