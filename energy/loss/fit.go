package loss

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distuv"

	"joulewell/energy"
)

// Fit is one decay model fitted to the turning points of a record.
type Fit struct {
	Model      Model
	First      energy.Estimate   // [m] amplitude at the first turning point
	Neutral    energy.Estimate   // [m] extension of the neutral point at the middle of the record
	Drift      energy.Estimate   // [m] by which the neutral point moves per half swing; zero where not fitted
	Parameters []energy.Estimate // [as Model.Parameters say] zero or positive
	ChiSquared float64           // [1] sum of squared deviations, each over its uncertainty
	Freedom    int               // [1] degrees of freedom: turning points less fitted numbers
	Chance     float64           // [1] probability of a larger sum of squares were model and uncertainties right
	AICc       float64           // [1] Akaike's criterion with the correction for few data: ChiSquared + 2 k + 2 k (k+1)/(n-k-1)

	solved *solution
}

// driftFrom is the number of turning points from which on a straight drift of the
// neutral point is fitted; with fewer, it would eat what they can say of the decay.
const driftFrom = 8

// FitDecay fits a model to the turning points of one record,
//
//	x_n = neutral + drift n + side_n A_n,  A_(n+1) = model(A_n),
//
// by least squares weighted with the turning points' uncertainties, ripple included,
// which are independent of each other. This is the same as generalised least squares on the
// amplitudes (x_n - x_(n+1))/2 with the covariance that neighbours get from the
// turning point they share, but keeps the last datum and stands lost turning points.
// Parameters are kept from going negative; their uncertainties are those of an
// unbounded fit, from the curvature at the result.
//
// A model with k fitted numbers needs k + 2 turning points, else the error wraps
// [ErrFew].
func FitDecay(m Model, record []Turning) (Fit, error) {
	p, err := newProblem(m, record)
	if err != nil {
		return Fit{}, fmt.Errorf("fit decay %q: %w", m.Name, err)
	}
	s := p.descend(p.start())
	if s == nil || !s.close(p) {
		return Fit{}, fmt.Errorf("fit decay %q: its numbers cannot be told apart on these %d turning points", m.Name, len(record))
	}
	return p.report(s), nil
}

// report turns a solution in the problem's own units into SI.
func (p *problem) report(s *solution) Fit {
	k, n := p.size(), len(p.y)
	f := Fit{Model: p.model, ChiSquared: s.chi, Freedom: n - k, solved: s}
	f.Chance = distuv.ChiSquared{K: float64(n - k)}.Survival(s.chi)
	f.AICc = s.chi + float64(2*k) + float64(2*k*(k+1))/float64(n-k-1)
	estimate := func(i int, unit float64) energy.Estimate {
		return energy.Estimate{Value: s.p[i] * unit, U: math.Sqrt(s.covariance.At(i, i)) * unit}
	}
	f.First = estimate(0, p.unit)
	f.Neutral = estimate(1, p.unit)
	f.Neutral.Value += p.origin
	if p.drifts {
		f.Drift = estimate(2, p.unit/p.span)
	}
	for i, q := range p.model.Parameters {
		f.Parameters = append(f.Parameters, estimate(p.own()+i, q.scaled(p.unit)))
	}
	return f
}

// problem is a least-squares problem in units of its own: lengths in first
// amplitudes, parameters as shares of the amplitude lost in a half swing.
type problem struct {
	model  Model
	y      []float64 // extensions
	u      []float64 // their uncertainties
	side   []float64
	index  []int
	drifts bool
	unit   float64 // [m] length of one
	origin float64 // [m] extension of zero
	span   float64 // [1] half swings from first to last
}

func newProblem(m Model, record []Turning) (*problem, error) {
	p := &problem{model: m, drifts: len(record) >= driftFrom}
	if n := p.size() + 2; len(record) < n {
		return nil, fmt.Errorf("%w: %d, at least %d needed", ErrFew, len(record), n)
	}
	low, high, err := soundRecord(record)
	if err != nil {
		return nil, err
	}
	if !(high > low) {
		return nil, fmt.Errorf("%w: all turning points at %g m", ErrStill, low)
	}
	p.unit, p.origin = (high-low)/2, (high+low)/2
	first := record[0].Index
	for _, r := range record {
		p.y = append(p.y, (r.Extension.Value-p.origin)/p.unit)
		p.u = append(p.u, math.Hypot(r.Extension.U, r.Ripple)/p.unit)
		p.side = append(p.side, float64(r.Side))
		p.index = append(p.index, r.Index-first)
	}
	p.span = float64(p.index[len(p.index)-1])
	return p, nil
}

// soundRecord refuses turning points that are not those of one record in order, and
// returns the least and the largest extension [m].
func soundRecord(record []Turning) (low, high float64, err error) {
	low, high = math.Inf(1), math.Inf(-1)
	for i := range record {
		r := &record[i]
		if i > 0 && (r.Record != record[0].Record || r.Index <= record[i-1].Index || !(r.T.Value > record[i-1].T.Value)) {
			return 0, 0, fmt.Errorf("%w: turning point %d: must be of the same record and later than the one before", ErrSamples, i)
		}
		if !measurable(r.Extension) || !(r.Ripple >= 0 && r.Ripple <= most) || !(r.T.U >= least && r.T.U <= most && math.Abs(r.T.Value) <= 1e3*most) {
			return 0, 0, fmt.Errorf("%w: turning point %d: extension %g m with uncertainty %g m, time %g s with uncertainty %g s: must be finite, uncertainties positive",
				ErrSamples, i, r.Extension.Value, r.Extension.U, r.T.Value, r.T.U)
		}
		low, high = min(low, r.Extension.Value), max(high, r.Extension.Value)
	}
	return low, high, nil
}

// The fitted numbers in order: first amplitude, neutral point, drift over the whole
// span where fitted, the model's parameters.
func (p *problem) own() int {
	if p.drifts {
		return 3
	}
	return 2
}

func (p *problem) size() int { return p.own() + len(p.model.Parameters) }

// start returns where to begin: the decay shared equally by all parts. From there the
// descent finds the same minimum as from one that gives it all to one part.
func (p *problem) start() []float64 {
	first, last := p.amplitude(0), p.amplitude(len(p.y)-2)
	share := math.Log(max(first, 1e-3)/max(last, 1e-3)) / p.span
	share = min(max(share, 1e-6), 0.5)
	s := make([]float64, p.size())
	s[0] = first
	for i := p.own(); i < len(s); i++ {
		s[i] = share / float64(len(p.model.Parameters))
	}
	return s
}

// amplitude is half the distance between turning points i and i+1, or, where they lie
// on one side, that from the middle of all.
func (p *problem) amplitude(i int) float64 {
	if p.side[i] != p.side[i+1] {
		return math.Abs(p.y[i]-p.y[i+1]) / 2
	}
	return math.Abs(p.y[i])
}

// predict fills in the extensions that the fitted numbers give.
func (p *problem) predict(s, to []float64) {
	parameters := make([]float64, len(p.model.Parameters))
	copy(parameters, s[p.own():]) // in own units the scaled parameters are the parameters
	a, n := s[0], 0
	for i, index := range p.index {
		for ; n < index; n++ {
			a = p.model.next(a, parameters)
		}
		to[i] = s[1] + p.side[i]*a
		if p.drifts {
			to[i] += s[2] * (float64(index)/p.span - 0.5)
		}
	}
}

// solution is a fitted set of numbers with what follows from it.
type solution struct {
	p          []float64
	chi        float64
	jacobian   *mat.Dense // by the fitted numbers, each row over its uncertainty
	covariance *mat.SymDense
	unit       float64 // [m] of the problem
	own        int     // index of the first of the model's parameters
}
