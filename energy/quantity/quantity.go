package quantity

import (
	"math"

	"joulewell/energy"
)

// Quantity is an estimate with all that must be known to reckon with it. The zero
// Quantity is one that nobody has given.
type Quantity struct {
	energy.Estimate // in the coherent SI unit of Kind
	Kind            Kind
	How             How
	DoF             float64 // [1] degrees of freedom of U, > 0; +Inf where U is taken as exactly known
}

// How says in a word how an uncertainty was got.
type How string

// Ways of getting an uncertainty.
const (
	LastDigit  How = "last digit" // half a unit of the last digit written, to either side
	ReadTo     How = "read to"    // half a division, to either side
	Stated     How = "stated"     // a standard uncertainty, by the person or a certificate
	Place      How = "by place"   // gravity from latitude and altitude
	Convention How = "convention" // a conventional value, with bounds that cover the truth
	Bound      How = "bound"      // bounds of an effect that nobody measures
	Exact      How = "exact"      // by decision: no initial tension, at rest
)

// rectangular reports whether any value within bounds is as likely as another.
func (h How) rectangular() bool {
	return h == LastDigit || h == ReadTo || h == Convention || h == Bound
}

// Given reports whether somebody has given q.
func (q Quantity) Given() bool { return q.How != "" }

// Chosen returns a quantity that is exact because somebody decided so.
func Chosen(kind Kind, value float64) Quantity {
	return Quantity{energy.Estimate{Value: value}, kind, Exact, math.Inf(1)}
}

// Between returns a quantity of which nothing is known but its bounds.
func Between(kind Kind, low, high float64) Quantity {
	return Quantity{energy.Estimate{Value: (low + high) / 2, U: (high - low) / math.Sqrt(12)}, kind, Bound, math.Inf(1)}
}

// Known returns a quantity with a standard uncertainty from elsewhere, such as a
// bench file.
func Known(kind Kind, e energy.Estimate) Quantity {
	return Quantity{e, kind, Stated, math.Inf(1)}
}
