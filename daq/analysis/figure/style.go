package figure

import (
	"image/color"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// look is how one quantity is drawn: its colour, and a second cue for eyes and printers
// that do not tell the colours apart.
type look struct {
	colour color.NRGBA
	width  vg.Length
	dashes []vg.Length
	glyph  draw.GlyphDrawer
}

// Colours from published colour-blind-safe sets: Okabe and Ito (2008), and P. Tol,
// Colour schemes, issue 3.2 (2021).
var (
	white = color.NRGBA{0xFF, 0xFF, 0xFF, 0xFF}
	ink   = color.NRGBA{0x1A, 0x1A, 0x1A, 0xFF}
	grey  = color.NRGBA{0x59, 0x59, 0x59, 0xFF}
	axis  = color.NRGBA{0x76, 0x76, 0x76, 0xFF}
	grid  = color.NRGBA{0xD9, 0xD9, 0xD9, 0xFF}

	kinetic       = look{color.NRGBA{0x00, 0x44, 0x88, 0xFF}, vg.Points(1.2), nil, draw.CircleGlyph{}}
	elastic       = look{color.NRGBA{0xD5, 0x5E, 0x00, 0xFF}, vg.Points(1.2), []vg.Length{vg.Points(8), vg.Points(3)}, draw.BoxGlyph{}}
	gravitational = look{color.NRGBA{0x00, 0x99, 0x88, 0xFF}, vg.Points(1.2), []vg.Length{vg.Points(2.5), vg.Points(2.5)}, draw.TriangleGlyph{}}
	total         = look{ink, vg.Points(2), nil, draw.PyramidGlyph{}}
)

func (l look) line() draw.LineStyle {
	return draw.LineStyle{Color: l.colour, Width: l.width, Dashes: l.dashes}
}

// tint is the colour of a band around a line.
func (l look) tint() color.NRGBA {
	c := l.colour
	c.A = 0x40
	return c
}

// sheet is an empty figure with axes.
func sheet(title, x, y string) *plot.Plot {
	p := plot.New()
	p.Title.Text, p.X.Label.Text, p.Y.Label.Text = title, x, y
	p.Title.TextStyle.Color = ink
	p.Title.TextStyle.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Points(12)}
	p.Title.Padding = vg.Points(8)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Color, a.Tick.Color = axis, axis
		a.Label.TextStyle.Color, a.Tick.Label.Color = ink, ink
		a.Label.TextStyle.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Points(11)}
		a.Tick.Label.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Points(10)}
		a.Padding = vg.Points(4)
		a.Tick.Marker = ticks{}
	}
	p.Legend.TextStyle.Font = font.Font{Typeface: "Liberation", Variant: "Sans", Size: vg.Points(10)}
	p.Legend.TextStyle.Color = ink
	p.Legend.ThumbnailWidth = vg.Points(28)
	p.Legend.Padding = vg.Points(2)
	p.Legend.Top, p.Legend.Left = true, true // names to the right, where a wider font does no harm
	p.Legend.XOffs = vg.Points(6)
	return p
}
