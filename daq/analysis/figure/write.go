package figure

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"

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

// kinds are the figures of a swing; one that returns no sheets has nothing to show.
var kinds = []struct {
	name string
	draw func(*analysis.Swing) ([]*plot.Plot, error)
}{
	{"energies", energies},
	{"ledger", ledger},
	{"loop", loop},
	{"residuals", residuals},
}

// Write makes the folder dir, if need be, and writes the figures of a run into it, as
// NAME-swing-N-KIND.svg. It replaces figures of the same name, which it can make again.
func Write(dir, run string, r *analysis.Run) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("write figures: %w", err)
	}
	name := strings.TrimSuffix(run, filepath.Ext(run))
	for i := range r.Swings {
		for _, k := range kinds {
			sheets, err := k.draw(&r.Swings[i])
			if err != nil {
				return fmt.Errorf("draw %s of swing %d: %w", k.name, i+1, err)
			}
			if len(sheets) == 0 {
				continue
			}
			path := filepath.Join(dir, fmt.Sprintf("%s-swing-%d-%s.svg", name, i+1, k.name))
			if err := save(path, sheets); err != nil {
				return fmt.Errorf("write figures: %w", err)
			}
		}
	}
	return nil
}

// save draws sheets one above the other, on white.
func save(path string, sheets []*plot.Plot) error {
	canvas := vgsvg.New(width, height*vg.Length(len(sheets)+1)/2)
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
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	if _, err := canvas.WriteTo(f); err != nil {
		f.Close()
		return err
	}
	return f.Close()
}
