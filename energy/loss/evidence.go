package loss

import (
	"fmt"
	"math"
	"slices"
)

// Candidate is a fitted model among the others.
type Candidate struct {
	Fit    Fit
	Delta  float64 // [1] how much its criterion lies above the lowest
	Weight float64 // [1] Akaike weight: share of the evidence, all candidates together 1
}

// Limit bounds a part of the loss that the verdict does not name.
type Limit struct {
	Part  Part
	Share float64 // [1] of what the swing loses over the record (of its energy, where no decay is seen), at coverage factor 2
}

// Evidence is what the turning points of a record say on how the swing decays.
type Evidence struct {
	Candidates []Candidate // best first
	Untried    []string    // models whose numbers the turning points cannot hold apart; without them there is no verdict
	Scatter    float64     // [1] how much wider the turning points scatter than their uncertainties say, at least 1; all fitted uncertainties are widened by it
	Verdict    string      // name of the model, or empty where the data cannot tell
	Sentence   string      // the verdict in words
	Limits     []Limit     // of parts that the verdict does not name

	record []Turning
}

// The rule of the verdict, in differences of AICc and of chi-squared. Between two laws of as
// many parts, d standard deviations apart, the difference of their sums of squares scatters
// by 2 d about d^2; the wrong one then leads by 1.645^2 in at most 5 % of cases, whatever d.
// So much is asked of every rival; of a model that only has parts in addition, nothing is
// asked but that it is not better by more than 2, which is the price of one part that does
// nothing.
const (
	rival  = 1.645 * 1.645
	spare  = 2.0
	hollow = 0.5 // share of the loss from which an unnamed part makes a verdict empty
)

// Compare fits every model to the turning points of one record and says which of them
// the data tell of, if they can tell.
//
// The verdict is the model M that
//
//   - lies within 2 of the lowest AICc;
//   - has, among the models within 2.7 of the lowest, by AICc or by the same without its
//     correction for few data, or of its own chi-squared, only such beside it as know all
//     of its parts and more;
//   - leaves room, at coverage factor 2, for less than half of the loss to any part
//     that it does not name.
//
// Otherwise the data cannot tell. Where turning points scatter more than they should,
// sums of squares are divided by the lowest of the models' chi-squared over degrees of
// freedom (quasi-likelihood). "no loss" as the verdict means that no decay is seen.
//
// At least six turning points are needed, else the error wraps [ErrFew].
func Compare(record []Turning) (Evidence, error) {
	var e Evidence
	if len(record) < 6 {
		return e, fmt.Errorf("compare decay models: %w: %d, at least 6 needed", ErrFew, len(record))
	}
	excess := math.Inf(1)
	for _, m := range models {
		f, err := FitDecay(m, record)
		if err != nil {
			if _, bad := newProblem(none, record); bad != nil {
				return e, fmt.Errorf("compare decay models: %w", bad)
			}
			e.Untried = append(e.Untried, m.Name)
			continue
		}
		excess = min(excess, f.ChiSquared/float64(f.Freedom))
		e.Candidates = append(e.Candidates, Candidate{Fit: f})
	}
	if len(e.Candidates) == 0 {
		return e, fmt.Errorf("compare decay models: %w: no model can be fitted: the uncertainties of the turning points differ too widely", ErrSamples)
	}
	e.record = record
	e.Scatter = math.Sqrt(max(1, excess))
	e.weigh()
	e.judge()
	return e, nil
}

// weigh widens uncertainties by the scatter seen, sorts and weights the candidates.
func (e *Evidence) weigh() {
	square := e.Scatter * e.Scatter
	for i := range e.Candidates {
		f := &e.Candidates[i].Fit
		f.AICc += f.ChiSquared/square - f.ChiSquared
		f.widen(e.Scatter)
	}
	slices.SortStableFunc(e.Candidates, func(a, b Candidate) int {
		if a.Fit.AICc < b.Fit.AICc {
			return -1
		}
		if a.Fit.AICc > b.Fit.AICc {
			return 1
		}
		return 0
	})
	var sum float64
	for i := range e.Candidates {
		c := &e.Candidates[i]
		c.Delta = c.Fit.AICc - e.Candidates[0].Fit.AICc
		c.Weight = math.Exp(-c.Delta / 2)
		sum += c.Weight
	}
	for i := range e.Candidates {
		e.Candidates[i].Weight /= sum
	}
}

// widen multiplies all uncertainties.
func (f *Fit) widen(by float64) {
	f.First.U *= by
	f.Neutral.U *= by
	f.Drift.U *= by
	for i := range f.Parameters {
		f.Parameters[i].U *= by
	}
	f.solved.covariance.ScaleSym(by*by, f.solved.covariance)
}

// named returns the candidate of a model's name, or nil.
func (e *Evidence) named(name string) *Candidate {
	for i := range e.Candidates {
		if e.Candidates[i].Fit.Model.Name == name {
			return &e.Candidates[i]
		}
	}
	return nil
}
