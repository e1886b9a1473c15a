package figure

import (
	"fmt"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"

	"joulewell/daq/analysis"
	"joulewell/energy"
	"joulewell/energy/loss"
)

// mostOfCurve bounds the points of a line.
const mostOfCurve = 400

// periods are shown of a swing: more would run together on paper.
const periods = 5

// energies draws the four energies over time. Gravitational energy is shown from its
// lowest, for from the floor it would dwarf the others.
func energies(s *analysis.Swing) ([]*plot.Plot, error) {
	end := math.Inf(1)
	if s.Period != nil {
		end = s.Whole.From + (periods+0.5)*s.Period.Value
	}
	lowest := math.Inf(1)
	for i := range s.States {
		if n := &s.States[i]; n.Known && n.T <= end {
			lowest = min(lowest, n.Energies.Gravitational.Value)
		}
	}
	if math.IsInf(lowest, 1) {
		return nil, nil
	}
	p := sheet(fmt.Sprintf("First %d periods, gravitational energy from its lowest, bands k = 2", periods), "time / s", "energy / mJ")
	p.Add(gridLines())
	for _, q := range []struct {
		name string
		look look
		base float64
		of   func(*energy.Energies) *energy.Estimate
	}{
		{"kinetic", kinetic, 0, func(e *energy.Energies) *energy.Estimate { return &e.Kinetic }},
		{"elastic", elastic, 0, func(e *energy.Energies) *energy.Estimate { return &e.Elastic }},
		{"gravitational", gravitational, lowest, func(e *energy.Energies) *energy.Estimate { return &e.Gravitational }},
		{"total", total, lowest, func(e *energy.Energies) *energy.Estimate { return &e.Total }},
	} {
		if err := curve(p, s.States, end, q.name, q.look, q.base, q.of); err != nil {
			return nil, err
		}
	}
	p.Y.Max *= 1.3 // room for the legend
	p.Y.Min = min(0, p.Y.Min)
	return []*plot.Plot{p}, nil
}

// curve adds the line of one energy with its band, in pieces where readings are missing.
func curve(p *plot.Plot, states []analysis.State, end float64, name string, l look, base float64, of func(*energy.Energies) *energy.Estimate) error {
	var piece plotter.XYs
	var expanded []float64
	named := false
	finish := func() error {
		defer func() { piece, expanded = piece[:0:0], expanded[:0] }()
		if len(piece) < 2 {
			return nil
		}
		kept := thin(len(piece), mostOfCurve, func(i int) float64 { return piece[i].Y })
		for n, i := range kept {
			piece[n], expanded[n] = piece[i], expanded[i]
		}
		piece, expanded = piece[:len(kept)], expanded[:len(kept)]
		if err := band(p, piece, expanded, l); err != nil {
			return err
		}
		line, err := plotter.NewLine(piece)
		if err != nil {
			return err
		}
		line.LineStyle = l.line()
		p.Add(line)
		if !named {
			p.Legend.Add(name, line)
			named = true
		}
		return nil
	}
	for i := range states {
		if states[i].T > end {
			break
		}
		if !states[i].Known {
			if err := finish(); err != nil {
				return err
			}
			continue
		}
		e := of(&states[i].Energies)
		piece = append(piece, plotter.XY{X: states[i].T, Y: 1e3 * (e.Value - base)})
		expanded = append(expanded, 1e3*loss.Coverage*e.U)
	}
	return finish()
}

// band adds a tinted band with thin edges around a piece of line.
func band(p *plot.Plot, piece plotter.XYs, expanded []float64, l look) error {
	n := len(piece)
	outline := make(plotter.XYs, 2*n)
	for i, q := range piece {
		outline[i] = plotter.XY{X: q.X, Y: q.Y + expanded[i]}
		outline[2*n-1-i] = plotter.XY{X: q.X, Y: q.Y - expanded[i]}
	}
	area, err := plotter.NewPolygon(outline)
	if err != nil {
		return err
	}
	area.Color = l.tint()
	area.LineStyle.Width, area.LineStyle.Color = l.width/5, l.colour
	p.Add(area)
	return nil
}

func gridLines() *plotter.Grid {
	g := plotter.NewGrid()
	g.Horizontal.Color, g.Vertical.Color = grid, grid
	return g
}
