package energy

import "math"

// Estimate is a value with its standard uncertainty, in the sense of the Guide to
// the Expression of Uncertainty in Measurement (JCGM 100). Value and U carry the
// same unit, which the field or parameter that holds the Estimate names. Both are
// NaN when there is no reading.
type Estimate struct {
	Value float64 `json:"value"` // [any] the best estimate
	U     float64 `json:"u"`     // [any] its standard uncertainty, zero or positive
}

// None is the absent reading.
func None() Estimate { return Estimate{math.NaN(), math.NaN()} }

// Known reports whether e holds a reading.
func (e Estimate) Known() bool { return !math.IsNaN(e.Value) }
