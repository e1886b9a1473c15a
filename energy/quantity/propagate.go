package quantity

import (
	"fmt"
	"math"

	"joulewell/calib/fit"
	"joulewell/energy"
)

// Input is a quantity under the name that it has in a budget.
type Input struct {
	Name string
	Quantity
}

// Formula computes results from the values of its inputs, in their order. It must not
// keep x, and returns always as many results.
type Formula func(x []float64) ([]float64, error)

// Result is a result of a formula.
type Result struct {
	energy.Estimate
	Budget fit.Budget // of the inputs that are not exact, largest contribution first
}

// Propagate carries the uncertainties of inputs that share nothing through a formula,
// for each of its results (GUM 5.1.2), by differences over one standard uncertainty to
// either side. An input by which a result bends contributes its second-order term as
// well, sqrt(c^2 + (c' u)^2/2) in place of the sensitivity c: a speed read as zero has
// an uncertain square. It returns the refusals of the formula.
func Propagate(inputs []Input, f Formula) ([]Result, error) {
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		x[i] = in.Value
	}
	middle, err := finite(f(x))
	if err != nil {
		return nil, err
	}
	entries := make([][]fit.Input, len(middle))
	for i, in := range inputs {
		if in.U == 0 {
			continue
		}
		x[i] = in.Value + in.U
		above, err := finite(f(x))
		if err != nil {
			return nil, fmt.Errorf("%s at %s: %w", in.Name, in.Kind.Text(x[i], in.U), err)
		}
		x[i] = in.Value - in.U
		below, err := finite(f(x))
		if err != nil {
			return nil, fmt.Errorf("%s at %s: %w", in.Name, in.Kind.Text(x[i], in.U), err)
		}
		x[i] = in.Value
		for r := range middle {
			slope := (above[r] - below[r]) / 2
			bend := above[r] - 2*middle[r] + below[r]
			slope = math.Copysign(math.Sqrt(slope*slope+bend*bend/2), slope)
			entries[r] = append(entries[r], fit.Input{Name: in.Name, U: in.U, Sensitivity: slope / in.U, DoF: in.DoF})
		}
	}
	results := make([]Result, len(middle))
	for r := range results {
		if results[r].Budget, err = fit.Propagate(entries[r]); err != nil {
			return nil, err
		}
		results[r].Estimate = energy.Estimate{Value: middle[r], U: results[r].Budget.U}
	}
	return results, nil
}

// finite refuses results that have left the range of numbers.
func finite(y []float64, err error) ([]float64, error) {
	for _, v := range y {
		if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
			return nil, fmt.Errorf("%w: the numbers go out of range: is each unit right?", energy.ErrImpossible)
		}
	}
	return y, err
}

// Probability is the coverage probability of expanded uncertainties.
const Probability = 0.95

// Expanded returns the expanded uncertainty that holds the result at [Probability],
// and its coverage factor, by the effective degrees of freedom (GUM G.4).
func (r *Result) Expanded() (u, coverage float64) {
	u, coverage, err := r.Budget.Expanded(Probability)
	if err != nil {
		panic(err) // the probability is good and the degrees of freedom were checked
	}
	return u, coverage
}

// Halved returns the expanded uncertainty that would be if one input of the budget were
// known twice as well.
func (r *Result) Halved(name string) float64 {
	inputs := make([]fit.Input, len(r.Budget.Inputs))
	for i, c := range r.Budget.Inputs {
		inputs[i] = c.Input
		if c.Name == name {
			inputs[i].U /= 2
		}
	}
	b, err := fit.Propagate(inputs)
	if err != nil {
		panic(err) // the same inputs have gone through before
	}
	half := Result{Budget: b}
	u, _ := half.Expanded()
	return u
}
