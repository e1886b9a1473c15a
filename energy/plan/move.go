package plan

import (
	"fmt"
	"math"

	"joulewell/energy/quantity"
)

// Move is by how much to raise the support.
type Move struct {
	Raise     Forecast // [m] negative = lower
	FromTrial bool     // from the clearance seen, not from the readings of the bench

	// Where a trial was made with the support at a given height:
	Off   *Forecast // [m] clearance seen less clearance worked out; nil otherwise
	Ratio *Forecast // [1] amplitude ratio that the trial tells of; nil otherwise
}

// String says what to do in a sentence.
func (m *Move) String() string {
	raise, word := m.Raise.Value, "raise"
	if raise < 0 {
		raise, word = -raise, "lower"
	}
	return fmt.Sprintf("%s the support by %s", word, quantity.Length.Both(raise, m.Raise.Expanded))
}

// move prefers the trial: it has seen this bob on this spring, and depends on nothing
// but the clearance that was read.
func (p *drop) move(r []quantity.Result) *Move {
	support, trial := p.Bench.Support.Given(), p.Trial.Given()
	switch {
	case trial && support:
		off, ratio := forecast(r[ofTrialOff]), forecast(r[ofTrialRatio])
		return &Move{forecast(r[ofTrialMove]), true, &off, &ratio}
	case trial:
		return &Move{Raise: forecast(r[ofTrialMove]), FromTrial: true}
	case support:
		return &Move{Raise: forecast(r[ofMove])}
	}
	return nil
}

// leastRatio [1]: no bob on a spring loses more of its amplitude in half a cycle, not even with
// a card as air brake, but one that meets something. Common practice, no source.
const leastRatio = 0.7

// Contradicted reports whether the trial cannot have gone as it did by the readings of the
// bench, not even if a swing loses as much as any does. Nothing is to be moved by either
// before the fault is found.
func (m *Move) Contradicted() bool {
	return m.Off != nil && math.Abs(m.Off.Value) > m.Off.Expanded &&
		(m.Off.Value < 0 || m.Ratio.Value+m.Ratio.Expanded < leastRatio)
}

// suspects are what is most often off. Common practice, no source.
const suspects = "the length of the spring given where its extension is meant, the rate, a mass, the height of the support, or where the clearance was read"

// Agreement says how trial and readings go together; empty where there is nothing to
// compare.
func (m *Move) Agreement() string {
	if m.Off == nil {
		return ""
	}
	by := quantity.Length.Both(math.Abs(m.Off.Value), m.Off.Expanded)
	switch {
	case math.Abs(m.Off.Value) <= m.Off.Expanded:
		return "the trial and the readings of the bench agree within " + quantity.Length.Text(m.Off.Expanded, m.Off.Expanded)
	case m.Off.Value > 0 && m.Ratio.Value > 0:
		return fmt.Sprintf("the bob stayed %s higher than worked out: an amplitude ratio of %s would do that, or a reading is off%s",
			by, quantity.Ratio.Both(m.Ratio.Value, m.Ratio.Expanded), m.look())
	case m.Off.Value > 0:
		return fmt.Sprintf("the bob stayed %s higher than worked out, above where it should hang at rest: a reading is off%s", by, m.look())
	}
	return fmt.Sprintf("the bob came %s lower than worked out: a reading must be off%s", by, m.look())
}

// look says where to look first for what contradicts.
func (m *Move) look() string {
	if !m.Contradicted() {
		return ""
	}
	return ": look at " + suspects
}
