package drift

import (
	"fmt"

	"joulewell/calib/fit"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// SpanDrift is what of a drift goes with the load and what does not.
type SpanDrift struct {
	Zero  energy.Estimate // [unit/s] at no load
	Span  energy.Estimate // [1/s] per unit of load
	Loads int             // [1] standards it comes from
}

// SpanDrift tells the drift of the zero and that of the span apart: the [Trend] of each
// standard by itself, and through their rates against the reference values a line, whose
// value at no load and slope they are. Each standard may be off by an amount of its own;
// that does not enter.
//
// It wants standards at two different loads or more with three records each; those with
// fewer are left out.
func (h History) SpanDrift() (SpanDrift, error) {
	const doing = "tell the drift of zero and span apart"
	if err := h.Check(); err != nil {
		return SpanDrift{}, fmt.Errorf("%s: %w", doing, err)
	}
	var rates []fit.Point
	for _, one := range h.Standards() {
		if len(one.Records) < 3 {
			continue
		}
		t, err := one.Trend(0.95)
		if err != nil {
			return SpanDrift{}, fmt.Errorf("%s: %s %q: %w", doing, one.Records[0].What, one.Records[0].Standard, err)
		}
		var load float64
		for _, r := range one.Records {
			load += r.Reference.Value / float64(len(one.Records))
		}
		rates = append(rates, fit.Point{X: load, Y: t.Rate.Value, UY: t.Rate.U})
	}
	loads := map[float64]bool{}
	for _, p := range rates {
		loads[p.X] = true
	}
	if len(loads) < 2 {
		return SpanDrift{}, fmt.Errorf("%s: %s with 3 records or more: at least 2 are needed", doing, quantity.Count(len(loads), "load"))
	}
	line, err := fit.Weighted(rates, fit.Line)
	if err != nil {
		return SpanDrift{}, fmt.Errorf("%s: %w", doing, err)
	}
	zero, uZero := line.At(0, 0)
	return SpanDrift{
		Zero:  energy.Estimate{Value: zero, U: uZero},
		Span:  energy.Estimate{Value: line.Coefficients[1], U: line.U(1)},
		Loads: len(rates),
	}, nil
}
