package balance

import (
	"joulewell/calib/fit"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// Comparison is what two states tell.
type Comparison struct {
	Lines     []Line          // kinetic first, total last
	Exchanged float64         // [J] elastic energy that a swing through the wider state exchanges
	Loss      quantity.Result // [J] energy of the start less that of the end
	Expanded  float64         // [J] half width of the interval that holds the loss at 95 %
	Coverage  float64         // [1] coverage factor of Expanded

	Inputs         []quantity.Input  // what the budget's names stand for
	Drawn          *fit.Distribution // of the loss, by Monte Carlo; nil with the linear method
	Contradictions []string          // readings that do not go together, each in a sentence
	Verdict        string
	Advice         string // what to measure better
	Notes          []string
}

// Line is one kind of energy.
type Line struct {
	Name   string
	Start  energy.Estimate // [J]
	End    energy.Estimate // [J]
	Change energy.Estimate // [J] from start to end, propagated as a difference
}

// Compare compares the two states of r. Its errors say in a sentence which reading is
// missing or cannot be.
func Compare(r Readings, by Method) (*Comparison, error) {
	c, err := ready(r)
	if err != nil {
		return nil, err
	}
	if err := c.possible(); err != nil {
		return nil, err
	}
	results, err := quantity.Propagate(c.inputs, c.energies)
	if err != nil {
		return nil, err
	}
	out := &Comparison{Exchanged: c.exchanged, Loss: results[ofLoss], Inputs: c.inputs}
	for i, name := range lineNames {
		out.Lines = append(out.Lines, Line{
			name, results[ofStart+i].Estimate, results[ofEnd+i].Estimate, results[ofChange+i].Estimate,
		})
	}
	out.Expanded, out.Coverage = out.Loss.Expanded()
	if by.MonteCarlo {
		if out.Drawn, err = c.draw(by); err != nil {
			return nil, err
		}
	}
	if out.Contradictions, err = c.contradictions(); err != nil {
		return nil, err
	}
	out.Verdict = out.verdict()
	out.Advice = out.advice()
	out.Notes = c.notes()
	return out, nil
}
