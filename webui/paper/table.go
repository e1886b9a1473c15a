package paper

import (
	"slices"
	"strconv"
	"strings"

	"joulewell/daq/analysis/report"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// table is rows of text below their heads; the first cell of a row is what the row is about.
type table struct {
	Caption string
	Head    []column
	Rows    [][]string
	Kind    string // for its looks
}

// Class is what the style sheet calls t. A short table is kept on one page.
func (t table) Class() string {
	const short = 12 // rows
	if len(t.Rows) <= short {
		return strings.TrimSpace(t.Kind + " short")
	}
	return t.Kind
}

// mostRows is how many a table shows before its middle is left out.
const mostRows = 24

// cut leaves out the middle of a long table, and returns how many rows went.
func (t *table) cut() int {
	const end = 6
	left := len(t.Rows) - mostRows
	if left <= 0 {
		return 0
	}
	t.Rows = slices.Delete(t.Rows, mostRows-end, len(t.Rows)-end)
	return left
}

// column is the head of a column.
type column struct {
	Name   string
	Figure bool // numbers stand in it
}

// Factors from SI units to those of the page.
const (
	one   = 1
	milli = 1e3
	micro = 1e6
)

// pure writes an estimate of a pure number, or of one whose unit stands elsewhere.
func pure(e energy.Estimate, factor float64) string {
	if e.U == 0 {
		return strconv.FormatFloat(factor*e.Value, 'g', 6, 64)
	}
	return report.Shown(&e, factor)
}

// in writes an estimate in a unit that stands for so many of SI's.
func in(unit string, e energy.Estimate, factor float64) string {
	if e.U == 0 {
		return pure(e, factor) + " " + unit
	}
	return "(" + pure(e, factor) + ") " + unit
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
