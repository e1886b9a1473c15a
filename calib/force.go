package calib

import (
	"math"

	"joulewell/energy"
)

// Newtons returns the force [N] that an indication means: converter counts, or newtons
// for a cell that states them. Its U is what all conversions share, zero and curve; the
// scatter of a single one is f.Noise.
func (f *Force) Newtons(indication float64) energy.Estimate {
	net := indication - f.Zero.Value
	span, bend := net*f.Span.U, net*net*f.Bend.U
	curve := span*span + bend*bend + 2*f.SpanBend*span*bend
	zero := (f.Span.Value + 2*f.Bend.Value*net) * f.Zero.U
	return energy.Estimate{
		Value: net * (f.Span.Value + f.Bend.Value*net),
		U:     math.Sqrt(max(0, curve) + zero*zero),
	}
}
