package figure

import (
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"joulewell/daq/analysis"
)

// mostDots bounds the dots of a figure, which else would be larger than the run.
const mostDots = 800

// residuals draws each distance read less the one fitted. Distances set aside are rings
// on the edge of the figure where they lie beyond it.
func residuals(s *analysis.Swing) ([]*plot.Plot, error) {
	var used, aside plotter.XYs
	most := 0.0
	for i := 0; i < len(s.States); i++ {
		n := &s.States[i]
		switch r := 1e3 * n.Residual; {
		case !n.Known:
		case n.Outlier:
			aside = append(aside, plotter.XY{X: n.T, Y: r})
		default:
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
	used = thinned(used, mostDots)
	p := sheet("Distances read less the motion fitted", "time / s", "residual / mm")
	p.Add(gridLines())
	fitted := dots{used, vg.Points(2), ink}
	p.Add(fitted)
	p.Legend.Add("used", fitted)
	if len(aside) > 0 {
		rings, err := plotter.NewScatter(thinned(aside, mostDots))
		if err != nil {
			return nil, err
		}
		rings.GlyphStyle = draw.GlyphStyle{Color: grey, Radius: vg.Points(3.5), Shape: draw.RingGlyph{}}
		p.Add(rings)
		p.Legend.Add("set aside", rings)
	}
	p.Y.Min, p.Y.Max = -most, 1.25*most
	return []*plot.Plot{p}, nil
}

// thinned leaves at most so many points.
func thinned(xy plotter.XYs, most int) plotter.XYs {
	var some plotter.XYs
	for _, i := range thin(len(xy), most, func(i int) float64 { return xy[i].Y }) {
		some = append(some, xy[i])
	}
	return some
}
