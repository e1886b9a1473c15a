package springs

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy"
)

// Drawn is what both sensors say at one instant of a slow pull.
type Drawn struct {
	Extension float64 // [m] from the natural length
	Force     float64 // [N] by the load cell at the support
}

// Pull is a spring drawn out slowly and let back, once or several times. Slow is: in
// some ten seconds, so that neither its mass nor a delay between the sensors counts.
type Pull struct {
	Points      []Drawn         // in the order of time, at equal steps
	SpringMass  energy.Estimate // [kg]
	Gravity     energy.Estimate // [m/s2]
	SpringTared bool            // the spring hung on the cell when it was tared

	// What all points share. The first effect of each source is the relative change of
	// force or extension, or their change [N], [m], when its input is stated higher by one
	// standard uncertainty. [loads.Result.Relative] and [ruler.Result.Relative] make them
	// of a sensor's calibration.
	ForceScale, ForceZero, ExtensionScale, ExtensionZero []fit.Source
}

// Law is the spring's curve as drawn: the load [N] on what hangs below over the extension
// [m], the mean of stretching and letting back, rising throughout.
type Law struct {
	Extension []float64 // [m] rising
	Load      []float64 // [N] rising
	U         []float64 // [N] standard uncertainty of each load by scatter
}

// Drawing is the result of a [Pull].
type Drawing struct {
	Result
	Law         Law
	Loop        energy.Estimate // [J] work that the spring kept between stretching and letting back, over the part that the line was fitted to; NaN where it was not let back
	F           float64         // [1] of a quadratic term beside the straight line
	Probability float64         // [1] that scatter alone gives such an F or more
}

const (
	leastPoints = 60
	mostBlocks  = 80
	straightBy  = 0.01 // probability of a bend below which the line is given up
)

// Calibrate works out rate and initial tension from the straight part, the curve, and
// the loop. The load is the force less the spring's weight w, unless that was tared; with
// every coil open it is F0 + k X - w/2. Stretching and letting back may differ, by a
// quadratic in the extension; the line is that of their mean. The scatter is that seen
// about it, of means of successive points.
func (p Pull) Calibrate() (*Drawing, error) {
	const doing = "calibrate spring by a slow pull"
	blocks, err := p.blocks(doing)
	if err != nil {
		return nil, err
	}
	low, high := extent(blocks)
	d := &Drawing{Result: Result{Way: "a slow pull", Agreement: math.NaN()}, Loop: energy.None()}
	var line fit.Regression
	cuts := []float64{0, 0.1, 0.2, 0.3, 0.4}
	chosen := -1
	for c, cut := range cuts {
		f, probability, fitted, err := p.line(blocks, low+cut*(high-low))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", doing, err)
		}
		if c == 0 || probability >= straightBy {
			line, d.F, d.Probability = fitted, f, probability
		}
		if probability >= straightBy {
			chosen = c
			break
		}
	}
	if !(line.Values[1] > 0) {
		return nil, fmt.Errorf("%s: %w: the force falls as the spring gets longer: is the sign of the load cell right?", doing, doubt.ErrContradict)
	}
	d.Joint = p.values(&line)
	d.Residuals = line.Residuals
	from := low + cuts[max(chosen, 0)]*(high-low)
	for i, b := range blocks {
		if b.x >= from {
			d.Used = append(d.Used, i)
		}
	}
	d.Law = curve(blocks, low, high, line.Values[1], line.Scatter)
	d.Loop = loop(&line, from, high)
	d.judge(chosen, from, low, high)
	return d, nil
}

// loop integrates the difference between stretching and letting back.
func loop(line *fit.Regression, from, to float64) energy.Estimate {
	if len(line.Values) < 5 {
		return energy.None()
	}
	area := line.Through(func(x []float64) []float64 {
		sum := 0.0
		for k := range 3 {
			n := float64(k + 1)
			sum += 2 * x[2+k] * (math.Pow(to, n) - math.Pow(from, n)) / n
		}
		return []float64{sum}
	})
	return energy.Estimate{Value: area.Values[0], U: area.U(0)}
}

// Summary adds to [Result.Summary] what only a pull tells.
func (d *Drawing) Summary() string {
	s := d.Result.Summary()
	if d.Loop.Known() {
		s += fmt.Sprintf(" Between drawing and letting back the spring kept %.2g mJ, with a standard uncertainty of %.2g mJ.", 1e3*d.Loop.Value, 1e3*d.Loop.U)
	}
	return s + fmt.Sprintf(" Its curve is known at %d extensions; a bend beside the straight line: F = %.1f, probability %.2g.", len(d.Law.Extension), d.F, d.Probability)
}

func (d *Drawing) judge(chosen int, from, low, high float64) {
	n := &d.Doubts
	if !d.Loop.Known() {
		n.Add(doubt.NoReturn, "the spring was not let back slowly: the work it keeps is not seen, and stands in its curve")
	}
	if chosen < 0 {
		n.Add(doubt.Bent, "no straight part (F = %.1f, probability %.2g): take the curve in place of rate and initial tension", d.F, d.Probability)
	}
	if chosen > 0 {
		n.Add(doubt.Opening, "extensions up to %.3g m were left out: below, the curve is bent, as with coils still closed", from)
	}
	if f := d.Estimate(Tension); f.Value < -2*f.U {
		n.Add(doubt.Length, "the initial tension comes out at %.3g N, which cannot be: check natural length and what hung when the cell was tared", f.Value)
	}
	if high-low < 0.05 {
		n.Add(doubt.Narrow, "drawn over %.0f mm only: draw it as far as it will swing", 1e3*(high-low))
	}
}
