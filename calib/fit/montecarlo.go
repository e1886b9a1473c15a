package fit

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// Distribution is what Monte Carlo tells about a result.
type Distribution struct {
	Mean   float64 // [result's unit]
	U      float64 // [result's unit] standard deviation
	Trials int     // [1] values drawn

	Probability float64 // [1] which both intervals hold
	Low, High   float64 // [result's unit] as many values lie below as above
	ShortLow    float64 // [result's unit] of the shortest interval
	ShortHigh   float64 // [result's unit] likewise
}

// MonteCarlo draws so many values of a result and describes their distribution
// (JCGM 101:2008, clause 7). draw returns one value of the result, made from inputs
// drawn anew; where it takes its random numbers from, and their seed, is the
// caller's. The intervals hold the given probability.
//
// It wants at least 100/(1 - probability) trials, for fewer say nothing about the
// ends, and refuses a draw that is not a number.
func MonteCarlo(draw func() float64, trials int, probability float64) (Distribution, error) {
	const doing = "draw a distribution"
	if !(probability > 0 && probability < 1) {
		return Distribution{}, fmt.Errorf("%s: probability %g: must lie between 0 and 1", doing, probability)
	}
	if least := math.Ceil(100/(1-probability) - 1e-6); float64(trials) < least {
		return Distribution{}, fmt.Errorf("%s: %d trials: at least %.0f are needed", doing, trials, least)
	}
	values := make([]float64, trials)
	for i := range values {
		values[i] = draw()
		if !finite(values[i]) {
			return Distribution{}, fmt.Errorf("%s: trial %d gave %g: must be finite", doing, i+1, values[i])
		}
	}
	return describe(values, probability), nil
}

// describe sorts the values and takes the intervals by 7.7: from the r-th value to the
// (r+q)-th, with q the nearest whole number to probability times their number.
func describe(values []float64, probability float64) Distribution {
	d := Distribution{Trials: len(values), Probability: probability}
	d.Mean, d.U = stat.MeanStdDev(values, nil)
	slices.Sort(values)
	q := int(probability*float64(len(values)) + 0.5)
	r := (len(values) - q) / 2
	d.Low, d.High = values[r], values[r+q]
	shortest := math.Inf(1)
	for r := range len(values) - q {
		if width := values[r+q] - values[r]; width < shortest {
			shortest = width
			d.ShortLow, d.ShortHigh = values[r], values[r+q]
		}
	}
	return d
}

// Adaptive draws blocks of values until the results have settled: until twice the
// standard deviation of each of mean, U, Low and High, averaged over the blocks, is
// below tolerance [result's unit] (JCGM 101:2008, 7.9.4). A block holds 10 000
// values, or 100/(1 - probability) if that is more. It gives up after limit values.
func Adaptive(draw func() float64, tolerance, probability float64, limit int) (Distribution, error) {
	if !(tolerance > 0) {
		return Distribution{}, fmt.Errorf("draw a distribution: tolerance %g: must be positive", tolerance)
	}
	if !(probability > 0 && probability < 1) {
		return Distribution{}, fmt.Errorf("draw a distribution: probability %g: must lie between 0 and 1", probability)
	}
	block := max(10_000, int(math.Ceil(100/(1-probability))))
	var all []float64
	var seen [4][]float64 // of each block: mean, u, low, high
	for len(all)+block <= limit {
		values := make([]float64, block)
		for i := range values {
			values[i] = draw()
			if !finite(values[i]) {
				return Distribution{}, fmt.Errorf("draw a distribution: trial %d gave %g: must be finite", len(all)+i+1, values[i])
			}
		}
		all = append(all, values...)
		b := describe(values, probability)
		for i, v := range [...]float64{b.Mean, b.U, b.Low, b.High} {
			seen[i] = append(seen[i], v)
		}
		if settled(seen[:], tolerance) {
			return describe(all, probability), nil
		}
	}
	return Distribution{}, fmt.Errorf("draw a distribution: not settled to %g within %d trials: allow more or ask for less", tolerance, limit)
}

func settled(seen [][]float64, tolerance float64) bool {
	for _, of := range seen {
		if len(of) < 2 || 2*stat.StdDev(of, nil)/math.Sqrt(float64(len(of))) > tolerance {
			return false
		}
	}
	return true
}
