package quantity

import (
	"math"
	"slices"

	"joulewell/calib/fit"
)

// Figure is a result with its 95 % interval, in SI units, for a program.
type Figure struct {
	Value    float64  `json:"value"`                        // [SI]
	U        float64  `json:"u"`                            // [SI] standard uncertainty
	Expanded float64  `json:"expanded"`                     // [SI] half width of the interval that holds it at 95 %
	Coverage float64  `json:"coverage"`                     // [1] Expanded over U
	DoF      *float64 `json:"degrees_of_freedom,omitempty"` // [1] absent where infinite
}

// Figure returns r for a program.
func (r *Result) Figure() Figure {
	expanded, coverage := r.Expanded()
	f := Figure{Value: r.Value, U: r.U, Expanded: expanded, Coverage: coverage}
	if dof := r.Budget.DoF; !math.IsInf(dof, 1) {
		f.DoF = &dof
	}
	return f
}

// Share is what one input gives to the uncertainty of a result, for a program.
type Share struct {
	Name  string  `json:"name"`
	Value float64 `json:"value"`      // [SI] of the input
	U     float64 `json:"u"`          // [SI] its standard uncertainty
	Unit  string  `json:"unit"`       // of both
	How   string  `json:"how"`        // it is known
	Gives float64 `json:"gives"`      // [SI] uncertainty of the result from it alone, with its sign
	In    string  `json:"gives_unit"` // unit of that
	Share float64 `json:"share"`      // [1] of the variance of the result
}

// Shares lists the budget of a result of a kind, largest first; inputs are those that it
// was worked out from.
func (r *Result) Shares(kind Kind, inputs []Input) []Share {
	list := []Share{}
	for _, c := range r.Budget.Inputs {
		i := slices.IndexFunc(inputs, func(in Input) bool { return in.Name == c.Name })
		in := inputs[i]
		list = append(list, Share{c.Name, in.Value, in.U, in.Kind.Unit(), string(in.How), c.Contribution, kind.Unit(), c.Share})
	}
	return list
}

// Drawn is what Monte Carlo says of an energy, for a program.
type Drawn struct {
	Trials int     `json:"trials"` // [1]
	Mean   float64 `json:"mean_J"` // [J]
	U      float64 `json:"u_J"`    // [J] standard deviation
	Low    float64 `json:"low_J"`  // [J] end of the interval that holds 95 %
	High   float64 `json:"high_J"` // [J] likewise
}

// DrawnOf returns d for a program; nil where nothing was drawn.
func DrawnOf(d *fit.Distribution) *Drawn {
	if d == nil {
		return nil
	}
	return &Drawn{d.Trials, d.Mean, d.U, d.Low, d.High}
}
