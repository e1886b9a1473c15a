package figure

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"joulewell/daq/analysis"
)

// mostDots bounds the points of a figure, which else would be larger than the run.
const mostDots = 3000

// residuals draws each distance read less the one fitted. Distances set aside are rings
// on the edge of the figure where they lie beyond it.
func residuals(s *analysis.Swing) ([]*plot.Plot, error) {
	var used, aside plotter.XYs
	most := 0.0
	step := len(s.States)/mostDots + 1
	for i := 0; i < len(s.States); i++ {
		n := &s.States[i]
		switch r := 1e3 * n.Residual; {
		case !n.Known:
		case n.Outlier:
			aside = append(aside, plotter.XY{X: n.T, Y: r})
		case i%step == 0:
			used = append(used, plotter.XY{X: n.T, Y: r})
			most = max(most, r, -r)
		}
	}
	if len(used) == 0 {
		return nil, nil
	}
	most *= 1.3
	for i := range aside {
		aside[i].Y = min(max(aside[i].Y, -most), most)
	}
	p := sheet("Distances read less the motion fitted", "time / s", "residual / mm")
	p.Add(gridLines())
	for _, q := range []struct {
		name  string
		xy    plotter.XYs
		glyph draw.GlyphStyle
	}{
		{"used", used, draw.GlyphStyle{Color: ink, Radius: vg.Points(1.2), Shape: draw.CircleGlyph{}}},
		{"set aside", aside, draw.GlyphStyle{Color: grey, Radius: vg.Points(3.5), Shape: draw.RingGlyph{}}},
	} {
		if len(q.xy) == 0 {
			continue
		}
		points, err := plotter.NewScatter(q.xy)
		if err != nil {
			return nil, err
		}
		points.GlyphStyle = q.glyph
		p.Add(points)
		p.Legend.Add(q.name, points)
	}
	p.Y.Min, p.Y.Max = -most, 1.25*most
	return []*plot.Plot{p}, nil
}
