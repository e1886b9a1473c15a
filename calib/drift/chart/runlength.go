package chart

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// RunLengths are the mean numbers of values up to and with the first signal, one a rule.
type RunLengths struct {
	Single  float64 // [1] values
	Average float64 // [1] values
	Sum     float64 // [1] values
}

// settled returns the run length that f comes to for ever finer cells: its difference
// from that of m cells falls with 1/m^2, so two of them tell the rest. The remainder is
// below 0.1 % for the plans here.
func settled(f func(m int) float64) float64 {
	const cells = 75
	coarse, fine := f(cells), f(2*cells+1)
	return fine + (fine-coarse)/3
}

// RunLengths returns how long each chart of the plan runs on average before it signals,
// when each of its values, independent and normal, lies so many standard deviations off
// the mean from the first one on. A shift of 0 gives the values between false alarms. The
// level is taken as known.
//
// The chart of single values has a closed form. For the others the state of the chart is
// cut into cells between which it moves as a Markov chain (Brook and Evans, Biometrika 59
// (1972) 539); the narrower limits of the young moving average are followed step by step.
func (p Plan) RunLengths(shift float64) RunLengths {
	return RunLengths{
		Single:  singleRun(p.Limit, shift),
		Average: settled(func(m int) float64 { return averageRun(p.Weight, p.AverageLimit, shift, m) }),
		Sum:     settled(func(m int) float64 { return bothSums(p.Slack, p.Decision, shift, m) }),
	}
}

// singleRun is one over the probability that a value lies beyond either limit.
func singleRun(limit, shift float64) float64 {
	return 1 / (normal(shift-limit) + normal(-shift-limit))
}

// normal is the standard normal distribution.
func normal(x float64) float64 { return 0.5 * math.Erfc(-x/math.Sqrt2) }

// averageRun is the run length of the moving average with the limits that widen at first.
func averageRun(weight, limit, shift float64, m int) float64 {
	state := make([]float64, m) // probability of each cell, without a signal so far
	state[m/2] = 1
	from, fade, run := 0.0, 1.0, 0.0
	for fade > 1e-5 {
		fade *= (1 - weight) * (1 - weight)
		to := averageWidth(weight, limit, fade)
		next := make([]float64, m)
		for i, p := range state {
			run += p
			if p < 1e-12 {
				continue // too little to count
			}
			for j, q := range averageStep(centre(from, i, m), to, weight, shift, m) {
				next[j] += p * q
			}
		}
		state, from = next, to
	}
	for i, t := range averageSteady(weight, limit, shift, m) {
		run += state[i] * t
	}
	return run
}

// averageSteady returns the run lengths from each cell of the average with its final
// limits.
func averageSteady(weight, limit, shift float64, m int) []float64 {
	width := averageWidth(weight, limit, 0)
	return absorb(m, func(i int) []float64 {
		return averageStep(centre(width, i, m), width, weight, shift, m)
	})
}

// centre is the middle of cell i of m between -width and width.
func centre(width float64, i, m int) float64 { return width * float64(2*i+1-m) / float64(m) }

// averageStep returns the probabilities with which an average z goes into each of m cells
// between -width and width.
func averageStep(z, width, weight, shift float64, m int) []float64 {
	p := make([]float64, m)
	below := func(edge float64) float64 { return normal((edge-(1-weight)*z)/weight - shift) }
	left := below(-width)
	for j := range p {
		right := below(width * float64(2*j+2-m) / float64(m))
		p[j] = right - left
		left = right
	}
	return p
}

// bothSums joins the run lengths of the two sums: while one grows to the decision the
// other is back at zero, so their rates of signals add up (Kemp, J. R. Stat. Soc. B 23
// (1961) 149).
func bothSums(slack, decision, shift float64, m int) float64 {
	return 1 / (1/sumRun(slack, decision, shift, m) + 1/sumRun(slack, decision, -shift, m))
}

// sumRun is the run length of the upper sum from zero.
func sumRun(slack, decision, shift float64, m int) float64 {
	width := 2 * decision / float64(2*m-1) // of a cell; the first, around zero, counts by half
	return absorb(m, func(i int) []float64 {
		p := make([]float64, m)
		left := 0.0
		for j := range p {
			right := normal((float64(j-i)+0.5)*width + slack - shift)
			p[j] = right - left
			left = right
		}
		return p
	})[0]
}

// absorb returns the mean number of steps from each state of a chain until it leaves,
// given the probabilities to go from a state to each other: (I - Q)^-1 1.
func absorb(m int, row func(i int) []float64) []float64 {
	a := mat.NewDense(m, m, nil)
	ones := mat.NewVecDense(m, nil)
	for i := range m {
		for j, p := range row(i) {
			a.Set(i, j, -p)
		}
		a.Set(i, i, a.At(i, i)+1)
		ones.SetVec(i, 1)
	}
	var t mat.VecDense
	// A warning about the condition is met where the run length passes 1e14.
	_ = t.SolveVec(a, ones)
	return t.RawVector().Data
}
