package calib

import (
	"math"

	"joulewell/energy"
)

// Newtons returns the force [N] that an indication means: converter counts, or newtons
// for a cell that states them. Its U is what all conversions share, zero and span; the
// scatter of a single one is f.Noise.
func (f *Force) Newtons(indication float64) energy.Estimate {
	net := indication - f.Zero.Value
	return energy.Estimate{
		Value: f.Span.Value * net,
		U:     math.Hypot(net*f.Span.U, f.Span.Value*f.Zero.U),
	}
}
