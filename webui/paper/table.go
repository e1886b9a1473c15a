package paper

import (
	"strconv"

	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// table is rows of text below their heads; the first cell of a row is what the row is about.
type table struct {
	Caption string
	Head    []column
	Rows    [][]string
}

// column is the head of a column.
type column struct {
	Name   string
	Figure bool // numbers stand in it
}

// Units into which tables turn SI units.
const (
	one   = 1
	milli = 1e3
)

// shown writes an estimate, times a factor, with its expanded uncertainty; "-" where it is not
// known.
func shown(e *energy.Estimate, factor float64) string {
	if e == nil {
		return "-"
	}
	return quantity.PlusMinus(factor*e.Value, factor*loss.Coverage*e.U)
}

// pure writes an estimate of a pure number, or of one whose unit stands elsewhere.
func pure(e energy.Estimate, factor float64) string {
	if e.U == 0 {
		return strconv.FormatFloat(factor*e.Value, 'g', 6, 64)
	}
	return shown(&e, factor)
}

// joules writes an energy with its expanded uncertainty.
func joules(e energy.Estimate) string { return measured(quantity.Energy, e) }

// measured writes an estimate with unit and expanded uncertainty, and says where none
// was stated.
func measured(k quantity.Kind, e energy.Estimate) string {
	if e.U == 0 {
		return k.Text(e.Value, 0) + ", no uncertainty stated"
	}
	return k.Both(e.Value, loss.Coverage*e.U)
}
