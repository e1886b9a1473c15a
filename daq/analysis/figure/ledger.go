package figure

import (
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"joulewell/daq/analysis"
	"joulewell/energy"
	"joulewell/energy/loss"
)

// ledger draws what was lost in each row of the ledger, and what of it is in no account.
func ledger(s *analysis.Swing) ([]*plot.Plot, error) {
	if len(s.Rows) == 0 {
		return nil, nil
	}
	each := "each cycle"
	if s.CyclesPerRow > 1 {
		each = fmt.Sprintf("each %d cycles", s.CyclesPerRow)
	}
	p := sheet("What left the swing in "+each, "time / s", "energy / mJ; bars k = 2")
	p.Add(gridLines())
	zero := plotter.NewFunction(func(float64) float64 { return 0 })
	zero.LineStyle = draw.LineStyle{Color: axis, Width: vg.Points(1)}
	p.Add(zero)
	lost := look{grey, vg.Points(1.2), nil, draw.BoxGlyph{}}
	open := look{ink, vg.Points(1.2), []vg.Length{vg.Points(3), vg.Points(2)}, draw.RingGlyph{}}
	for _, q := range []struct {
		name string
		look look
		side float64
		of   func(*loss.Ledger) *energy.Estimate
	}{
		{"lost", lost, -1, func(l *loss.Ledger) *energy.Estimate { return &l.Lost }},
		{"in no account", open, 1, func(l *loss.Ledger) *energy.Estimate { return &l.Residual }},
	} {
		if err := bars(p, s.Rows, q.name, q.look, q.side, q.of); err != nil {
			return nil, err
		}
	}
	p.X.Min, p.X.Max = s.Whole.From, s.Whole.To
	span := p.Y.Max - p.Y.Min
	p.Y.Max, p.Y.Min = p.Y.Max+0.25*span, p.Y.Min-0.05*span
	return []*plot.Plot{p}, nil
}

// errorBars are points with the bars of their expanded uncertainty.
type errorBars struct {
	plotter.XYs
	plotter.YErrors
}

// bars adds the points of one line of the ledger, a little to one side of the middle of
// each row so that two lines do not hide each other.
func bars(p *plot.Plot, rows []loss.Ledger, name string, l look, side float64, of func(*loss.Ledger) *energy.Estimate) error {
	b := errorBars{make(plotter.XYs, len(rows)), make(plotter.YErrors, len(rows))}
	for i := range rows {
		r := &rows[i]
		e := of(r)
		b.XYs[i] = plotter.XY{X: (r.From+r.To)/2 + side*(r.To-r.From)/8, Y: 1e3 * e.Value}
		u := 1e3 * loss.Coverage * e.U
		b.YErrors[i].Low, b.YErrors[i].High = u, u
	}
	upright, err := plotter.NewYErrorBars(b)
	if err != nil {
		return err
	}
	upright.LineStyle = l.line()
	points, err := plotter.NewScatter(b.XYs)
	if err != nil {
		return err
	}
	points.GlyphStyle = draw.GlyphStyle{Color: l.colour, Radius: vg.Points(3), Shape: l.glyph}
	p.Add(upright, points)
	p.Legend.Add(name, points)
	return nil
}
