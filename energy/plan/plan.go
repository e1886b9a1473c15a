package plan

import (
	"fmt"

	"joulewell/energy"
	"joulewell/energy/quantity"
)

// Plan is what to set up and what to expect.
type Plan struct {
	Support   Forecast // [m] where to hold the spring's top, above the floor
	Start     Forecast // [m] the bob's lowest point above the floor as it is let go
	Fall      Forecast // [m] from there to the lowest point
	Extension Forecast // [m] largest, from the natural length
	Period    Forecast // [s] of many swings; a single half swing is off by some thousandths
	Speed     Forecast // [m/s] largest, in the middle, if nothing is lost on the way
	Force     Forecast // [N] largest at the support
	Inputs    []quantity.Input

	Clearance *Forecast // [m] with the support where it is now; nil where that is not given
	Move      *Move     // of the support; nil where neither its place nor a trial is given

	Safe     float64 // [m] clearance recommended
	Cautions []string
	Notes    []string
}

// Forecast is a result with its 95 % interval.
type Forecast struct {
	quantity.Result
	Expanded float64 // [SI] half width at 95 %
	Coverage float64 // [1] coverage factor of Expanded
}

func forecast(r quantity.Result) Forecast {
	f := Forecast{Result: r}
	f.Expanded, f.Coverage = r.Expanded()
	return f
}

// tallest [m] is higher than anyone hangs a spring.
const tallest = 100

// Make plans a drop. Its errors say in a sentence which reading is missing or cannot be.
func Make(d Drop) (*Plan, error) {
	p, err := ready(d)
	if err != nil {
		return nil, err
	}
	r, err := quantity.Propagate(p.inputs, p.formula)
	if err != nil {
		return nil, err
	}
	if h := r[ofSupport].Value; h > tallest {
		return nil, fmt.Errorf("%w: the support would have to be %.4g m high: look at bob mass, spring rate and clearance", energy.ErrImpossible, h)
	}
	out := &Plan{
		Support: forecast(r[ofSupport]), Start: forecast(r[ofStart]), Fall: forecast(r[ofFall]),
		Extension: forecast(r[ofExtension]), Period: forecast(r[ofPeriod]), Speed: forecast(r[ofSpeed]),
		Force: forecast(r[ofForce]), Inputs: p.inputs,
	}
	if p.Bench.Support.Given() {
		clearance := forecast(r[ofClearance])
		out.Clearance = &clearance
	}
	out.Move = p.move(r)
	out.Safe = p.safe(r[ofSupport])
	out.Cautions = p.cautions(out)
	out.Notes = p.notes()
	return out, nil
}
