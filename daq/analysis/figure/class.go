package figure

import (
	"fmt"
	"io"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"joulewell/daq/trials/table"
)

// Class draws what the groups of a class found as SVG, a panel a quantity: each group with
// the bar of its expanded uncertainty, the weighted mean as a line in its band where the
// groups should agree. Quantities that only one group has are left out; with none left it
// is an error.
func Class(w io.Writer, c *table.Class) error {
	var panels []*plot.Plot
	groups := 0
	for i := range c.Quantities {
		q := &c.Quantities[i]
		if q.Mean == nil {
			continue
		}
		p, err := panel(q)
		if err != nil {
			return fmt.Errorf("draw the groups: %w", err)
		}
		panels, groups = append(panels, p), max(groups, len(q.Groups))
	}
	if len(panels) == 0 {
		return fmt.Errorf("draw the groups: there is nothing that two groups have measured")
	}
	svg, err := stacked(panels, vg.Points(70+16*float64(groups))*vg.Length(len(panels)))
	if err != nil {
		return fmt.Errorf("draw the groups: %w", err)
	}
	_, err = w.Write(svg)
	return err
}

// panel is one quantity, the first group on top.
func panel(q *table.Agreement) (*plot.Plot, error) {
	unit, scale := suited(q)
	p := sheet("", q.Label+" / "+unit+"; bars and band 95 %", "")
	n := len(q.Groups)
	b := xErrorBars{make(plotter.XYs, n), make(plotter.XErrors, n)}
	names := make([]plot.Tick, n)
	for i, g := range q.Groups {
		at := float64(n - 1 - i)
		b.XYs[i] = plotter.XY{X: g.Mean * scale, Y: at}
		b.XErrors[i].Low, b.XErrors[i].High = g.U*scale, g.U*scale
		names[i] = plot.Tick{Value: at, Label: clipped(g.Label)}
	}
	if !q.Chosen {
		if err := common(p, *q.Mean*scale, q.U*scale, float64(n)); err != nil {
			return nil, err
		}
	}
	bars, err := plotter.NewXErrorBars(b)
	if err != nil {
		return nil, err
	}
	bars.LineStyle = total.line()
	points, err := plotter.NewScatter(b.XYs)
	if err != nil {
		return nil, err
	}
	points.GlyphStyle = draw.GlyphStyle{Color: ink, Radius: vg.Points(3), Shape: draw.CircleGlyph{}}
	p.Add(bars, points)
	p.Y.Tick.Marker, p.Y.Tick.Length = plot.ConstantTicks(names), 0
	p.Y.Min, p.Y.Max = -edge, float64(n)-1+edge
	return p, nil
}

// edge is the room above the first group and below the last, groups being one apart.
const edge = 0.6

// common draws the weighted mean of n groups in the band of its uncertainty.
func common(p *plot.Plot, mean, half, n float64) error {
	low, top := -edge, n-1+edge
	band, err := plotter.NewPolygon(plotter.XYs{{X: mean - half, Y: low}, {X: mean + half, Y: low}, {X: mean + half, Y: top}, {X: mean - half, Y: top}})
	if err != nil {
		return err
	}
	band.Color, band.LineStyle.Width = grid, 0
	line, err := plotter.NewLine(plotter.XYs{{X: mean, Y: low}, {X: mean, Y: top}})
	if err != nil {
		return err
	}
	line.LineStyle = draw.LineStyle{Color: grey, Width: vg.Points(1), Dashes: []vg.Length{vg.Points(4), vg.Points(2)}}
	p.Add(band, line)
	return nil
}

type xErrorBars struct {
	plotter.XYs
	plotter.XErrors
}

// suited is the unit in which the values of a quantity stand, and what brings them there.
func suited(q *table.Agreement) (unit string, scale float64) {
	largest := 0.0
	for _, g := range q.Groups {
		largest = max(largest, math.Abs(g.Mean)+g.U)
	}
	if (q.Unit == "J" || q.Unit == "m") && largest < 1 {
		return "m" + q.Unit, 1e3
	}
	return q.Unit, 1
}

// clipped is a label that leaves room for the chart.
func clipped(label string) string {
	const most = 28 // [characters]
	if r := []rune(label); len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return label
}
