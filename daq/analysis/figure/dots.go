package figure

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// dots are small squares, all of one figure drawn in one stroke: a third of the bytes that
// as many circles take.
type dots struct {
	plotter.XYs
	side   vg.Length
	colour color.Color
}

// Plot draws the dots.
func (d dots) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	var path vg.Path
	for _, q := range d.XYs {
		path = d.add(path, vg.Point{X: x(q.X), Y: y(q.Y)})
	}
	d.stroke(c, path)
}

// Thumbnail draws one of them for the legend.
func (d dots) Thumbnail(c *draw.Canvas) { d.stroke(*c, d.add(nil, c.Center())) }

// DataRange returns the corners of what is drawn.
func (d dots) DataRange() (xmin, xmax, ymin, ymax float64) { return plotter.XYRange(d.XYs) }

func (d dots) add(path vg.Path, at vg.Point) vg.Path {
	path.Move(vg.Point{X: at.X - d.side/2, Y: at.Y})
	path.Line(vg.Point{X: at.X + d.side/2, Y: at.Y})
	return path
}

func (d dots) stroke(c draw.Canvas, path vg.Path) {
	c.SetLineStyle(draw.LineStyle{Color: d.colour, Width: d.side})
	c.Stroke(path)
}
