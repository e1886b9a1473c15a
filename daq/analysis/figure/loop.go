package figure

import (
	"fmt"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"

	"joulewell/daq/analysis"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// mostOfLoop bounds the points drawn of one cycle.
const mostOfLoop = 150

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
		{"first cycle", s.Loops.Loops[0], look{ink, vg.Points(1.2), nil, nil}},
		{"last cycle", s.Loops.Loops[len(s.Loops.Loops)-1], look{grey, vg.Points(1.2), []vg.Length{vg.Points(4), vg.Points(3)}, nil}},
	} {
		var cycle []loss.Point
		for _, q := range s.LoopPoints {
			if q.T >= c.loop.From && q.T <= c.loop.To {
				cycle = append(cycle, q)
			}
		}
		beyond := func(i int) float64 { return cycle[i].Force - rest - rate*cycle[i].Extension }
		var whole, part plotter.XYs
		for _, i := range thin(len(cycle), mostOfLoop, beyond) {
			x := 1e3 * cycle[i].Extension
			whole = append(whole, plotter.XY{X: x, Y: cycle[i].Force})
			part = append(part, plotter.XY{X: x, Y: 1e3 * beyond(i)})
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
	line, err := plotter.NewLine(append(xy, xy[0]))
	if err != nil {
		return err
	}
	line.LineStyle = l.line()
	points := dots{xy, vg.Points(2.6), l.colour}
	p.Add(line, points)
	if name != "" {
		p.Legend.Add(name, line, points)
	}
	return nil
}
