package loss

import (
	"fmt"
	"math"
	"strings"
)

// judge applies the rule of [Compare].
func (e *Evidence) judge() {
	if len(e.Untried) > 0 {
		e.Sentence = "cannot tell: the turning points are too few or too much alike to try " + strings.Join(e.Untried, ", ")
		return
	}
	for i := range e.Candidates {
		m := &e.Candidates[i]
		if m.Delta > spare || !coveredByAll(m.Fit.Model, e.open(m)) {
			continue
		}
		e.Limits = e.limits(m.Fit.Model)
		for _, l := range e.Limits {
			if l.Share >= hollow && len(m.Fit.Parameters) > 0 {
				e.Sentence = fmt.Sprintf("cannot tell: %s friction fits, but %s friction might take as much as %s of the loss",
					m.Fit.Model.Name, l.Part, percent(l.Share))
				e.Limits = nil
				return
			}
		}
		e.Verdict = m.Fit.Model.Name
		e.Sentence = e.sentence(m)
		return
	}
	var names []string
	for _, c := range e.open(&e.Candidates[0]) {
		names = append(names, c.Fit.Model.Name)
	}
	e.Sentence = "cannot tell: " + strings.Join(names, ", ") + " fit about equally well"
	if len(names) == 1 {
		e.Sentence = "cannot tell"
	}
}

// open returns the candidates that are not ruled out beside m: by the criterion with or
// without its correction for few data, since the correction must not do the ruling out
// where uncertainties are known beforehand; nor may the price of a part more, so that
// the sum of squares alone must speak against a candidate that m is no case of.
func (e *Evidence) open(m *Candidate) []Candidate {
	square := e.Scatter * e.Scatter
	plain := func(c *Candidate) float64 { return c.Fit.ChiSquared/square + 2*float64(len(c.Fit.Parameters)) }
	lowest := math.Inf(1)
	for i := range e.Candidates {
		lowest = min(lowest, plain(&e.Candidates[i]))
	}
	var open []Candidate
	for i := range e.Candidates {
		c := &e.Candidates[i]
		worse := (c.Fit.ChiSquared - m.Fit.ChiSquared) / square
		if c.Delta < rival || plain(c)-lowest < rival || worse < rival {
			open = append(open, *c)
		}
	}
	return open
}

func coveredByAll(m Model, open []Candidate) bool {
	for _, c := range open {
		if !c.Fit.Model.covers(m) {
			return false
		}
	}
	return true
}

// limits bounds the parts that m does not know, each from the model that adds just
// that part to m.
func (e *Evidence) limits(m Model) []Limit {
	var limits []Limit
	last := e.record[len(e.record)-1].Index - e.record[0].Index
	for _, c := range e.Candidates {
		model := c.Fit.Model
		if len(model.Parameters) != len(m.Parameters)+1 || !model.covers(m) {
			continue
		}
		shares := c.Fit.shares(0, last)
		for i, q := range model.Parameters {
			if m.has(q.Part) {
				continue
			}
			whole := graded{c.Fit.First.Value * c.Fit.First.Value / 2, make([]float64, len(c.Fit.solved.p))}
			if len(m.Parameters) > 0 { // share of the loss, else share of the swing's energy
				whole = graded{0, make([]float64, len(c.Fit.solved.p))}
				for _, s := range shares {
					whole.add(s)
				}
			}
			limits = append(limits, Limit{q.Part, c.Fit.upper(shares[i], whole)})
		}
	}
	return limits
}

// upper returns the upper limit of a share at coverage factor 2, at most 1.
func (f Fit) upper(part, whole graded) float64 {
	if !(whole.value > 0) {
		return 1
	}
	share := part.value / whole.value
	for i := range part.gradient {
		part.gradient[i] = (part.gradient[i] - share*whole.gradient[i]) / whole.value
	}
	return min(1, share+2*f.scatterOf(part.gradient))
}

// sentence puts a verdict into words.
func (e *Evidence) sentence(m *Candidate) string {
	if len(m.Fit.Parameters) == 0 {
		var most float64
		for _, l := range e.Limits {
			most = math.Max(most, l.Share)
		}
		return fmt.Sprintf("no decay seen: over the record the swing loses at most %s of its energy (k = 2)", percent(most))
	}
	text := m.Fit.Model.Name + " friction"
	if m.Fit.Model.has(Viscous) {
		text += ", in the spring or in the air: both make the same amplitudes"
	}
	for _, l := range e.Limits {
		text += fmt.Sprintf("; %s friction takes at most %s of the loss (k = 2)", l.Part, percent(l.Share))
	}
	return text
}
