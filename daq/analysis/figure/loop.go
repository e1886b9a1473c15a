package figure

import (
	"fmt"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"joulewell/daq/analysis"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// loop draws force over extension in the first and the last cycle that has a loop, and
// below the same less a straight line, for the loop itself is thinner than any line.
func loop(s *analysis.Swing) ([]*plot.Plot, error) {
	if s.Loops == nil || len(s.Loops.Loops) == 0 {
		return nil, nil
	}
	var x, f []float64
	for _, q := range s.LoopPoints {
		x, f = append(x, q.Extension), append(f, q.Force)
	}
	rest, rate := stat.LinearRegression(x, f, nil, false)
	stay := quantity.Energy.Both(s.Loops.PerCycle.Value, loss.Coverage*s.Loops.PerCycle.U)
	upper := sheet("Force over extension: "+stay+" a cycle (k = 2) stay in the spring", "extension / mm", "force / N")
	lower := sheet("", "extension / mm", "force less its line / mN")
	upper.Add(gridLines())
	lower.Add(gridLines())
	for _, c := range []struct {
		name string
		loop loss.Loop
		look look
	}{
		{"first cycle", s.Loops.Loops[0], look{ink, vg.Points(1.2), nil, draw.CircleGlyph{}}},
		{"last cycle", s.Loops.Loops[len(s.Loops.Loops)-1], look{grey, vg.Points(1.2), []vg.Length{vg.Points(4), vg.Points(3)}, draw.RingGlyph{}}},
	} {
		var whole, part plotter.XYs
		for _, q := range s.LoopPoints {
			if q.T >= c.loop.From && q.T <= c.loop.To {
				whole = append(whole, plotter.XY{X: 1e3 * q.Extension, Y: q.Force})
				part = append(part, plotter.XY{X: 1e3 * q.Extension, Y: 1e3 * (q.Force - rest - rate*q.Extension)})
			}
		}
		if err := trace(upper, c.name, whole, c.look); err != nil {
			return nil, err
		}
		if err := trace(lower, "", part, c.look); err != nil {
			return nil, err
		}
	}
	lower.Title.Text = fmt.Sprintf("the same less %.2f N/m times extension", rate)
	return []*plot.Plot{upper, lower}, nil
}

// trace adds one closed cycle.
func trace(p *plot.Plot, name string, xy plotter.XYs, l look) error {
	if len(xy) < 2 {
		return nil
	}
	line, points, err := plotter.NewLinePoints(append(xy, xy[0]))
	if err != nil {
		return err
	}
	line.LineStyle = l.line()
	points.GlyphStyle = draw.GlyphStyle{Color: l.colour, Radius: vg.Points(1.6), Shape: l.glyph}
	p.Add(line, points)
	if name != "" {
		p.Legend.Add(name, line, points)
	}
	return nil
}
