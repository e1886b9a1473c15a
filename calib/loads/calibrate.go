package loads

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/calib/masses"
	"joulewell/energy"
)

// The values of [Result.Joint].
const (
	Zero      = iota // [counts] at the last reading
	Span             // [N/count]
	Quadratic        // [N/count2]
)

// bentBelow is the probability that scatter alone bends the readings so much, below
// which a quadratic term is kept.
const bentBelow = 0.01

// Calibrate works out a [Job].
func Calibrate(j Job) (*Result, error) {
	p, err := j.prepare()
	if err != nil {
		return nil, err
	}
	line, err := p.fit(1)
	if err != nil {
		return nil, fmt.Errorf("calibrate force: %w: %w", doubt.ErrFew, err)
	}
	r := &Result{Largest: p.largest, Capacity: j.Capacity, Probability: math.NaN()}
	chosen, bent := line, (*model)(nil)
	if quadratic, err := p.fit(2); err == nil && p.different() > 3 {
		bent = quadratic
		c := quadratic.Values[atSquare]
		r.F = math.Pow(c/quadratic.U(atSquare), 2)
		dof := quadratic.Freedom(atSquare)
		if math.IsInf(dof, 1) {
			r.Probability = distuv.ChiSquared{K: 1}.Survival(r.F)
		} else {
			r.Probability = distuv.F{D1: 1, D2: dof}.Survival(r.F)
		}
		if r.Bent = r.Probability < bentBelow; r.Bent {
			chosen = quadratic
		}
	}
	r.take(p, chosen)
	r.characterise(p, chosen, line, bent)
	r.judge(p, chosen)
	return r, nil
}

// Coefficients of a model; reversibilities follow from terms on.
const (
	atZero = iota
	atSlope
	atSquare // of a quadratic
)

// model is a fit of the readings.
type model struct {
	fit.Regression
	degree  int
	drift   int            // index of the drift, 0 where none can be told
	reverse map[string]int // index of half the reversibility at a load
}

// fit fits a polynomial of the degree in force. Forces stated too high are as if the
// counts were too low, by the curve, which is found in a first round without masses.
func (p *prepared) fit(degree int) (*model, error) {
	m := &model{degree: degree, reverse: make(map[string]int)}
	terms := degree + 1
	if first, last := p.tares(); last > first {
		m.drift = terms
		terms++
	}
	for _, k := range p.reversed() {
		m.reverse[k] = terms
		terms++
	}
	rows := make([][]float64, len(p.forces))
	y, u := make([]float64, len(rows)), make([]float64, len(rows))
	last := p.Readings[len(rows)-1].T
	for i, r := range p.Readings {
		rows[i] = make([]float64, terms)
		for k := range degree + 1 {
			rows[i][k] = math.Pow(p.forces[i], float64(k))
		}
		if m.drift > 0 {
			rows[i][m.drift] = r.T - last
		}
		if k, ok := m.reverse[p.keys[i]]; ok {
			rows[i][k] = float64(p.courses[i])
		}
		// Counts from the first: the zero of a converter may lie millions away.
		y[i], u[i] = r.Counts-p.Readings[0].Counts, r.U
	}
	first, err := fit.Scattered(rows, y, u, nil)
	if err != nil {
		return nil, err
	}
	sources := p.Masses.Sources(func(s *masses.Set) []float64 {
		counts := make([]float64, len(p.forces))
		for i, r := range p.Readings {
			f, _ := s.Force(r.Load) // checked before
			for k := atSlope; k <= degree; k++ {
				counts[i] -= first.Values[k] * math.Pow(f, float64(k))
			}
		}
		return counts
	})
	if m.Regression, err = fit.Scattered(rows, y, u, sources); err != nil {
		return nil, err
	}
	m.Values[atZero] += p.Readings[0].Counts
	return m, nil
}

// tares returns the instants [s] of the first and the last reading of the unloaded cell
// with a load between them, or the same twice.
func (p *prepared) tares() (first, last float64) {
	i := slices.Index(p.keys, "")
	if i < 0 {
		return 0, 0
	}
	j := p.lastTare()
	if slices.ContainsFunc(p.keys[i:j], func(k string) bool { return k != "" }) {
		return p.Readings[i].T, p.Readings[j].T
	}
	return 0, 0
}

// reversed returns the loads that were reached from both sides.
func (p *prepared) reversed() []string {
	var both []string
	for i, k := range p.keys {
		for j, other := range p.keys {
			if k == other && p.courses[i] == 1 && p.courses[j] == -1 && !slices.Contains(both, k) {
				both = append(both, k)
			}
		}
	}
	return both
}

// take turns the curve of counts over force into one of force over counts. The inverse of
// a quadratic is none; the one that meets it at half and at the whole of the largest load
// departs from it by less than e^2/10 of that load, with e the bend over the slope there.
func (r *Result) take(p *prepared, m *model) {
	r.Joint = m.Through(func(x []float64) []float64 {
		if m.degree == 1 {
			return []float64{x[atZero], 1 / x[atSlope], 0}
		}
		at := func(f float64) float64 { return f * (x[atSlope] + f*x[atSquare]) }
		f1, f2 := p.largest/2, p.largest
		n1, n2 := at(f1), at(f2)
		quadratic := (f2/n2 - f1/n1) / (n2 - n1)
		return []float64{x[atZero], f1/n1 - quadratic*n1, quadratic}
	})
	stated := 0.0
	for i := range p.Readings {
		stated += p.Readings[i].U * p.Readings[i].U / float64(len(p.Readings))
	}
	r.Scatter = math.Abs(r.Values[Span]) * math.Sqrt(m.Scatter*m.Scatter+stated)
	for _, counts := range m.Residuals {
		r.Residuals = append(r.Residuals, counts*r.Values[Span])
	}
	if m.drift > 0 {
		r.Drift = energy.Estimate{Value: m.Values[m.drift], U: m.U(m.drift)}
	} else {
		r.Drift = energy.None()
	}
}
