package figure

import (
	"bytes"
	"fmt"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgsvg"

	"joulewell/daq/analysis"
)

// Size of a figure.
const (
	width  = 20 * vg.Centimeter
	height = 12 * vg.Centimeter
)

// Drawing is one figure of a swing.
type Drawing struct {
	Kind string // energies, ledger, loop or residuals
	Says string // what is to be seen, for those who do not see it
	SVG  []byte // as a file of its own
}

// kinds are the figures of a swing; one that returns no sheets has nothing to show.
var kinds = []struct {
	name string
	draw func(*analysis.Swing) ([]*plot.Plot, error)
	says func(*analysis.Swing) string
}{
	{"energies", energies, saysEnergies},
	{"ledger", ledger, saysLedger},
	{"loop", loop, saysLoop},
	{"residuals", residuals, saysResiduals},
}

// Draw draws the figures of a swing.
func Draw(s *analysis.Swing) ([]Drawing, error) {
	var all []Drawing
	for _, k := range kinds {
		sheets, err := k.draw(s)
		if err != nil {
			return nil, fmt.Errorf("draw the %s: %w", k.name, err)
		}
		if len(sheets) == 0 {
			continue
		}
		svg, err := drawn(sheets)
		if err != nil {
			return nil, fmt.Errorf("draw the %s: %w", k.name, err)
		}
		all = append(all, Drawing{k.name, k.says(s), svg})
	}
	return all, nil
}

// drawn draws sheets one above the other, on white.
func drawn(sheets []*plot.Plot) ([]byte, error) {
	return stacked(sheets, height*vg.Length(len(sheets)+1)/2)
}

// stacked does the same in a figure of some height.
func stacked(sheets []*plot.Plot, tall vg.Length) ([]byte, error) {
	canvas := vgsvg.New(width, tall)
	all := draw.New(canvas)
	all.SetColor(white)
	all.Fill(all.Rectangle.Path())
	column := make([][]*plot.Plot, len(sheets))
	for i, s := range sheets {
		column[i] = []*plot.Plot{s}
	}
	margin := vg.Points(10)
	tiles := draw.Tiles{Rows: len(sheets), Cols: 1, PadTop: margin, PadBottom: margin, PadLeft: margin, PadRight: margin, PadY: vg.Points(14)}
	for i, row := range plot.Align(column, tiles, all) {
		sheets[i].Draw(row[0])
	}
	var svg bytes.Buffer
	_, err := canvas.WriteTo(&svg)
	return svg.Bytes(), err
}
