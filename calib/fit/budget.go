package fit

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// Input is one input quantity of a formula, as it enters the uncertainty of the
// result.
type Input struct {
	Name        string
	U           float64 // [input's unit] standard uncertainty
	Sensitivity float64 // [result's unit per input's unit] partial derivative of the formula
	DoF         float64 // [1] degrees of freedom of U, > 0; +Inf where U is taken as exactly known
}

// Correlated says that the estimates of two inputs share a source.
type Correlated struct {
	A, B string  // names of the inputs
	R    float64 // [1] correlation coefficient
}

// Budget is the uncertainty of a result and where it comes from.
type Budget struct {
	U      float64        // [result's unit] combined standard uncertainty
	DoF    float64        // [1] effective degrees of freedom, may be +Inf
	Inputs []Contribution // largest contribution first
}

// Contribution is one line of a budget.
type Contribution struct {
	Input
	Contribution float64 // [result's unit] Sensitivity times U, with its sign
	Share        float64 // [1] of the variance of the result; correlations can make it negative, the shares add up to 1
}

// Propagate combines the uncertainties of the inputs of a formula by the law of
// propagation (GUM 5.1.2 and 5.2.2):
//
//	u^2 = sum over i and j of c_i c_j u_i u_j r_ij
//
// and their degrees of freedom by the formula of Welch and Satterthwaite (GUM G.4.1).
// That holds for independent inputs only; inputs correlated with each other are taken
// as one, which has the fewest degrees of freedom of any of them.
//
// Inputs that are not numbers, negative uncertainties, unknown or doubled names and
// correlations that cannot be at the same time are refused.
func Propagate(inputs []Input, correlations ...Correlated) (Budget, error) {
	if err := checkInputs(inputs); err != nil {
		return Budget{}, err
	}
	r, err := correlationMatrix(inputs, correlations)
	if err != nil {
		return Budget{}, err
	}
	b := Budget{Inputs: make([]Contribution, len(inputs))}
	variance := 0.0
	for i, in := range inputs {
		b.Inputs[i] = Contribution{Input: in, Contribution: in.Sensitivity * in.U}
		for j, other := range inputs {
			b.Inputs[i].Share += b.Inputs[i].Contribution * other.Sensitivity * other.U * r.At(i, j)
		}
		variance += b.Inputs[i].Share
	}
	variance = max(0, variance)
	b.U = math.Sqrt(variance)
	b.DoF = effective(b.Inputs, r, variance)
	for i := range b.Inputs {
		if variance > 0 {
			b.Inputs[i].Share /= variance
		}
	}
	slices.SortStableFunc(b.Inputs, func(x, y Contribution) int {
		switch dx, dy := math.Abs(x.Contribution), math.Abs(y.Contribution); {
		case dx > dy:
			return -1
		case dx < dy:
			return 1
		}
		return 0
	})
	return b, nil
}

// Expanded returns the half width of the interval that holds the quantity with the
// given probability, and the coverage factor it comes from.
func (b *Budget) Expanded(probability float64) (u, coverage float64, err error) {
	if coverage, err = Coverage(probability, b.DoF); err != nil {
		return 0, 0, err
	}
	return coverage * b.U, coverage, nil
}

func checkInputs(inputs []Input) error {
	seen := make(map[string]bool, len(inputs))
	for _, in := range inputs {
		switch {
		case in.Name == "" || seen[in.Name]:
			return fmt.Errorf("propagate uncertainty: input %q: each needs a name of its own", in.Name)
		case !(in.U >= 0) || math.IsInf(in.U, 0):
			return fmt.Errorf("propagate uncertainty: input %q: uncertainty %g: must be zero or positive", in.Name, in.U)
		case !finite(in.Sensitivity):
			return fmt.Errorf("propagate uncertainty: input %q: sensitivity %g: must be finite", in.Name, in.Sensitivity)
		case !(in.DoF > 0):
			return fmt.Errorf("propagate uncertainty: input %q: %g degrees of freedom: must be positive, or +Inf", in.Name, in.DoF)
		}
		seen[in.Name] = true
	}
	return nil
}

// correlationMatrix builds the matrix of all correlation coefficients. One with a
// negative eigenvalue is refused: no quantities can be correlated like that.
func correlationMatrix(inputs []Input, correlations []Correlated) (*mat.SymDense, error) {
	if len(inputs) == 0 {
		return &mat.SymDense{}, nil
	}
	index := make(map[string]int, len(inputs))
	r := mat.NewSymDense(len(inputs), nil)
	for i, in := range inputs {
		index[in.Name] = i
		r.SetSym(i, i, 1)
	}
	for _, c := range correlations {
		a, knownA := index[c.A]
		b, knownB := index[c.B]
		switch {
		case !knownA || !knownB || a == b:
			return nil, fmt.Errorf("propagate uncertainty: correlation of %q and %q: must be two of the inputs", c.A, c.B)
		case !(math.Abs(c.R) <= 1):
			return nil, fmt.Errorf("propagate uncertainty: correlation of %q and %q = %g: must lie between -1 and 1", c.A, c.B, c.R)
		case r.At(a, b) != 0:
			return nil, fmt.Errorf("propagate uncertainty: correlation of %q and %q: is stated twice", c.A, c.B)
		}
		r.SetSym(a, b, c.R)
	}
	if len(correlations) == 0 {
		return r, nil
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(r, false) || slices.Min(eigen.Values(nil)) < -1e-9 {
		return nil, fmt.Errorf("propagate uncertainty: the correlations contradict each other: no such quantities can be")
	}
	return r, nil
}

// effective returns the effective degrees of freedom. The shares are still variances.
func effective(lines []Contribution, r *mat.SymDense, variance float64) float64 {
	sum := 0.0
	done := make([]bool, len(lines))
	for i := range lines {
		if done[i] {
			continue
		}
		share, dof := 0.0, math.Inf(1)
		for _, j := range group(r, i, done) {
			share += lines[j].Share
			if lines[j].Contribution != 0 {
				dof = min(dof, lines[j].DoF)
			}
		}
		sum += share * share / dof
	}
	if sum == 0 {
		return math.Inf(1)
	}
	return variance * variance / sum
}

// group returns i and all inputs correlated with it, directly or through others, and
// marks them as done.
func group(r *mat.SymDense, i int, done []bool) []int {
	members := []int{i}
	done[i] = true
	for at := 0; at < len(members); at++ {
		for j := range done {
			if !done[j] && r.At(members[at], j) != 0 {
				done[j] = true
				members = append(members, j)
			}
		}
	}
	return members
}
