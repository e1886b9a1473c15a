package allan

import "math"

// Estimator names one of the deviations.
type Estimator int

// The estimators, with the sections of NIST SP 1065 that define them.
const (
	Overlapping         Estimator = iota // Allan deviation from all pairs of neighbouring means (5.2.4)
	Plain                                // from means end to end only (5.2.2)
	Modified                             // tells white from flicker phase noise (5.2.5)
	Hadamard                             // means end to end, blind to a steady drift (5.2.8)
	OverlappingHadamard                  // likewise, from all triples (5.2.9)
)

// Deviation returns the deviation [reading] at an averaging time of m readings, and from
// how many differences it comes; NaN and 0 where the log is too short.
func (l *Log) Deviation(e Estimator, m int) (value float64, terms int) {
	if m < 1 {
		return math.NaN(), 0
	}
	var sum float64
	for _, phase := range l.phases {
		s, n := e.squares(phase, m)
		sum += s
		terms += n
	}
	if terms == 0 {
		return math.NaN(), 0
	}
	return math.Sqrt(sum/e.divisor(m)/float64(terms)) / float64(m), terms
}

// divisor is what the mean square is over, besides the square of m.
func (e Estimator) divisor(m int) float64 {
	switch e {
	case Modified:
		return 2 * float64(m) * float64(m)
	case Hadamard, OverlappingHadamard:
		return 6
	}
	return 2
}

// squares sums the squared differences of one stretch.
func (e Estimator) squares(phase []float64, m int) (sum float64, terms int) {
	switch e {
	case Overlapping:
		return second(phase, m, 1)
	case Plain:
		return second(phase, m, m)
	case Modified:
		return modified(phase, m)
	case Hadamard:
		return third(phase, m, m)
	case OverlappingHadamard:
		return third(phase, m, 1)
	}
	panic("allan: estimator unknown")
}

// second sums the squares of the second differences of the phase, stride apart.
func second(phase []float64, m, stride int) (sum float64, terms int) {
	n := len(phase) - 2*m
	if n < 1 {
		return 0, 0
	}
	a, b, c := phase[:n], phase[m:m+n], phase[2*m:2*m+n]
	for i := 0; i < n; i += stride {
		d := c[i] - 2*b[i] + a[i]
		sum += d * d
		terms++
	}
	return sum, terms
}

// third sums the squares of the third differences.
func third(phase []float64, m, stride int) (sum float64, terms int) {
	n := len(phase) - 3*m
	for i := 0; i < n; i += stride {
		d := phase[i+3*m] - 3*(phase[i+2*m]-phase[i+m]) - phase[i]
		sum += d * d
		terms++
	}
	return sum, terms
}

// modified sums the squares of m second differences added up, moving on by one.
func modified(phase []float64, m int) (sum float64, terms int) {
	n := len(phase) - 3*m + 1
	if n < 1 {
		return 0, 0
	}
	var window float64
	for i := range m {
		window += phase[i+2*m] - 2*phase[i+m] + phase[i]
	}
	sum = window * window
	for i := range n - 1 {
		window += phase[i+3*m] - 3*(phase[i+2*m]-phase[i+m]) - phase[i]
		sum += window * window
	}
	return sum, n
}
