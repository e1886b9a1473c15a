package fit

import (
	"fmt"
	"math"
)

// Source is one uncertain input that several readings, or several estimates, have in
// common: a check mass that hung in more than one load, local gravity, the rule.
// Sources of one name are one and the same input.
type Source struct {
	Name    string
	Effects []float64 // [each its own] change of each reading or estimate when the input is stated higher by its standard uncertainty
}

// Joint holds estimates that were obtained together, and where their uncertainty comes
// from: what is new in every trial apart from what other estimates may share.
type Joint struct {
	Values  []float64   // [each its own] the estimates
	Own     [][]float64 // [product of two values' units] covariance by the scatter of the readings
	DoF     float64     // [1] degrees of freedom of Own; +Inf where it was stated beforehand
	Sources []Source
}

// Covariance returns the covariance of all values, sources included.
func (j *Joint) Covariance() [][]float64 {
	v := square(len(j.Values))
	for a := range v {
		for b := range v {
			v[a][b] = j.Own[a][b] + j.Shared(a, j, b)
		}
	}
	return v
}

// U returns the standard uncertainty of value i.
func (j *Joint) U(i int) float64 { return math.Sqrt(max(0, j.Own[i][i]+j.Shared(i, j, i))) }

// Shared returns the covariance of value i of j with value k of other by the sources
// that both have in common.
func (j *Joint) Shared(i int, other *Joint, k int) float64 {
	sum := 0.0
	for _, a := range j.Sources {
		for _, b := range other.Sources {
			if a.Name == b.Name {
				sum += a.Effects[i] * b.Effects[k]
			}
		}
	}
	return sum
}

// Freedom returns the effective degrees of freedom of value i (Welch and Satterthwaite,
// GUM G.4.1). Those of the sources count as infinite.
func (j *Joint) Freedom(i int) float64 {
	if j.Own[i][i] == 0 {
		return math.Inf(1)
	}
	return j.DoF * math.Pow(j.U(i), 4) / math.Pow(j.Own[i][i], 2)
}

// Expanded returns the half width of the interval that holds value i with a
// probability.
func (j *Joint) Expanded(i int, probability float64) (float64, error) {
	coverage, err := Coverage(probability, j.Freedom(i))
	return coverage * j.U(i), err
}

// With returns j with one more value, known beforehand with a standard uncertainty that
// goes by the name of its source.
func (j *Joint) With(name string, value, u float64) Joint {
	n := len(j.Values)
	out := Joint{Values: append(append([]float64(nil), j.Values...), value), Own: square(n + 1), DoF: j.DoF}
	for a := range n {
		copy(out.Own[a], j.Own[a])
	}
	known := false
	for _, s := range j.Sources {
		effect := 0.0
		if s.Name == name {
			effect, known = u, true
		}
		out.Sources = append(out.Sources, Source{s.Name, append(append([]float64(nil), s.Effects...), effect)})
	}
	if !known {
		effects := make([]float64, n+1)
		effects[n] = u
		out.Sources = append(out.Sources, Source{name, effects})
	}
	return out
}

// Through returns the results of a formula of the values, to first order, with the
// sensitivities of [Sensitivities]. f is handed a slice it must not keep.
func (j *Joint) Through(f func(values []float64) []float64) Joint {
	out := Joint{Values: f(append([]float64(nil), j.Values...)), DoF: j.DoF}
	u := make([]float64, len(j.Values))
	for i := range u {
		u[i] = j.U(i)
	}
	jacobian := make([][]float64, len(out.Values))
	for r := range jacobian {
		jacobian[r] = Sensitivities(func(x []float64) float64 { return f(x)[r] }, j.Values, u)
	}
	out.Own = Transform(jacobian, j.Own)
	for _, s := range j.Sources {
		effects := make([]float64, len(out.Values))
		for r := range effects {
			effects[r] = dot(jacobian[r], s.Effects)
		}
		out.Sources = append(out.Sources, Source{s.Name, effects})
	}
	return out
}

// Scaled returns j with the scatter of the readings taken to be so many times larger
// than stated, as seen with the given degrees of freedom.
func (j *Joint) Scaled(times, dof float64) Joint {
	out := *j
	out.Own, out.DoF = square(len(j.Values)), dof
	for a := range out.Own {
		for b := range out.Own {
			out.Own[a][b] = times * times * j.Own[a][b]
		}
	}
	return out
}

// NormalisedDifference returns E_n of value i of a and value k of b: their difference
// over its expanded uncertainty at the given probability. What both share cancels from
// the difference as far as it acts alike. Beyond 1 in size the two disagree.
func NormalisedDifference(a *Joint, i int, b *Joint, k int, probability float64) (float64, error) {
	both := Joint{Values: []float64{a.Values[i] - b.Values[k]}, Own: [][]float64{{a.Own[i][i] + b.Own[k][k]}}}
	variance := both.Own[0][0] + a.Shared(i, a, i) + b.Shared(k, b, k) - 2*a.Shared(i, b, k)
	if !(variance > 0) {
		return 0, fmt.Errorf("compare %g with %g: neither has an uncertainty of its own", a.Values[i], b.Values[k])
	}
	dof := variance * variance / (math.Pow(a.Own[i][i], 2)/a.DoF + math.Pow(b.Own[k][k], 2)/b.DoF)
	coverage, err := Coverage(probability, dof)
	return both.Values[0] / (coverage * math.Sqrt(variance)), err
}
