package loss

import (
	"math"

	"joulewell/energy/quantity"
)

// joules writes an energy [J] with its expanded uncertainty.
func joules(value, expanded float64) string { return quantity.Energy.Both(value, expanded) }

// amount writes an energy [J] to a number of significant digits.
func amount(value float64, digits int) string { return quantity.Energy.Rough(value, digits) }

// percent writes a share to two significant digits, never below 0.1 %.
func percent(share float64) string {
	p := math.Max(100*share, 0.1)
	return quantity.Round(p, max(0, quantity.Decimals(p))) + " %"
}
