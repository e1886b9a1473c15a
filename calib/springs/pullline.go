package springs

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
)

// line fits load = a + k x, with up to half of a quadratic in x between stretching and
// letting back, to the blocks from an extension on, and tests for a bend.
func (p *Pull) line(blocks []block, from float64) (f, probability float64, line fit.Regression, err error) {
	var rows, bent [][]float64
	var y []float64
	both := turned(blocks)
	for _, b := range blocks {
		if b.x < from {
			continue
		}
		row := []float64{1, b.x}
		if both {
			row = append(row, b.course, b.course*b.x, b.course*b.x*b.x)
		}
		rows, y = append(rows, row), append(y, b.load)
		bent = append(bent, append(append([]float64(nil), row...), b.x*b.x))
	}
	u := make([]float64, len(y))
	quadratic, err := fit.Scattered(bent, y, u, nil)
	if err != nil {
		return 0, 0, line, fmt.Errorf("%w: %w", doubt.ErrFew, err)
	}
	last := len(bent[0]) - 1
	f = math.Pow(quadratic.Values[last]/quadratic.U(last), 2)
	probability = distuv.F{D1: 1, D2: float64(quadratic.Spare)}.Survival(f)
	first, err := fit.Scattered(rows, y, u, nil)
	if err != nil {
		return 0, 0, line, err
	}
	line, err = fit.Scattered(rows, y, u, p.sources(rows, y, first.Values[1]))
	return f, probability, line, err
}

func turned(blocks []block) bool {
	for _, b := range blocks {
		if b.course != blocks[0].course {
			return true
		}
	}
	return false
}

// sources returns what shared inputs do to the loads; an extension stated too large is
// as if the load were too small.
func (p *Pull) sources(rows [][]float64, y []float64, rate float64) []fit.Source {
	weight := p.SpringMass.Value * p.Gravity.Value
	if p.SpringTared {
		weight = 0
	}
	var out []fit.Source
	add := func(name string, effect func(i int) float64) {
		effects := make([]float64, len(y))
		for i := range effects {
			effects[i] = effect(i)
		}
		for _, s := range out {
			if s.Name == name {
				for i := range effects {
					s.Effects[i] += effects[i]
				}
				return
			}
		}
		out = append(out, fit.Source{Name: name, Effects: effects})
	}
	for _, s := range p.ForceScale {
		add(s.Name, func(i int) float64 { return (y[i] + weight) * s.Effects[0] })
	}
	for _, s := range p.ForceZero {
		add(s.Name, func(int) float64 { return s.Effects[0] })
	}
	for _, s := range p.ExtensionScale {
		add(s.Name, func(i int) float64 { return -rate * rows[i][1] * s.Effects[0] })
	}
	for _, s := range p.ExtensionZero {
		add(s.Name, func(int) float64 { return -rate * s.Effects[0] })
	}
	if !p.SpringTared {
		add(springInput, func(int) float64 { return -p.Gravity.Value * p.SpringMass.U })
		add("gravity", func(int) float64 { return -p.SpringMass.Value * p.Gravity.U })
	}
	return out
}

// values turns a line into rate and initial tension.
func (p *Pull) values(line *fit.Regression) fit.Joint {
	n := len(line.Values)
	all := line.With(springInput, p.SpringMass.Value, p.SpringMass.U)
	all = all.With("gravity", p.Gravity.Value, p.Gravity.U)
	return all.Through(func(x []float64) []float64 { return []float64{x[1], x[0] + x[n]*x[n+1]/2} })
}
