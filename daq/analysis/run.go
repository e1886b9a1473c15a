package analysis

import (
	"errors"
	"fmt"
	"math"

	"joulewell/daq/setup"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/motion"
	"joulewell/energy/quantity"
)

// ErrNothing is wrapped by the refusal of a run in which nothing can be worked out.
var ErrNothing = errors.New("nothing to work out")

// Options say what the setup does not.
type Options struct {
	Drag      *loss.Drag      // what the air meets; nil where the bob's size is not known
	Reference float64         // [m] height above the floor from which gravitational energy counts
	Source    quantity.Source // of random bits: losses are drawn by Monte Carlo too; nil = they are not
}

// draws of a loss by Monte Carlo: enough for the second digit of its uncertainty.
const draws = 50_000

// Run is a run worked out as a whole.
type Run struct {
	Counts    Counts
	Noise     float64 // [m] standard deviation of one distance, found from the distances
	HalfWidth float64 // [s] of the window in which the motion is fitted, chosen from the distances
	Swings    []Swing
	Delay     *Delay   // between force and distance, where it can be told
	Length    float64  // [s] from first to last distance
	Notes     []string // what must be known when reading it
	Reference float64  // [m] height above the floor from which gravitational energy counts
}

// analyser is what all swings of a run share.
type analyser struct {
	bench    *setup.Bench
	model    *energy.Model
	options  Options
	channels *channels
	run      *Run
}

// Analyse works out a run with the setup of its bench. It refuses a setup that cannot be,
// and with [ErrNothing] a run in which no swing is seen.
func Analyse(rows Rows, b *setup.Bench, o Options) (*Run, error) {
	if err := b.Calibration.Check(); err != nil {
		return nil, fmt.Errorf("set up bench %s: %w", b.Name, err)
	}
	model, err := energy.NewModel(b.Apparatus, o.Reference)
	if err != nil {
		return nil, fmt.Errorf("set up bench %s: %w", b.Name, err)
	}
	ch, err := read(rows, &b.Calibration)
	if err != nil {
		return nil, err
	}
	if err := ch.counts.usable(); err != nil {
		return nil, err
	}
	a := &analyser{bench: b, model: model, options: o, channels: ch, run: &Run{Counts: ch.counts, Reference: o.Reference}}
	if err := a.swings(); err != nil {
		return nil, err
	}
	a.delay()
	for i := range a.run.Swings {
		a.loops(&a.run.Swings[i])
		if err := a.books(&a.run.Swings[i]); err != nil {
			return nil, err
		}
	}
	return a.run, nil
}

// swings finds the swings of all epochs. Where there is none, the error says why the first
// moving stretch is not one.
func (a *analyser) swings() error {
	var why error
	for _, e := range a.channels.epochs {
		a.run.Notes = append(a.run.Notes, unstick(&e.heights, a.bench.Calibration.Distance.Noise)...)
		if n := len(e.heights.Times); n > 0 {
			a.run.Length += seconds(e.heights.Times[n-1] - e.heights.Times[0])
		}
		if err := a.swingsOf(e); err != nil && why == nil {
			why = err
		}
	}
	switch {
	case len(a.run.Swings) > 0:
		return nil
	case why != nil:
		return why
	}
	return fmt.Errorf("%w: the bob rests throughout: a swing larger than the distances' noise, %.2g mm, is needed",
		ErrNothing, 1e3*a.bench.Calibration.Distance.Noise)
}

// swingsOf finds the swings of one epoch, all of them fitted in windows of one width.
func (a *analyser) swingsOf(e *epoch) error {
	noise := a.bench.Calibration.Distance.Noise
	var points motion.Series // of the moving stretches
	var kept []part
	for _, p := range parts(e.heights, stays(e.heights, noise), noise) {
		if p.to-p.from < leastPoints {
			continue
		}
		points.Times = append(points.Times, e.heights.Times[p.from:p.to+1]...)
		points.Values = append(points.Values, e.heights.Values[p.from:p.to+1]...)
		kept = append(kept, p)
	}
	if len(kept) == 0 {
		if n := len(e.heights.Times); n <= leastPoints {
			return fmt.Errorf("%w: %d usable distances: at least %d needed", ErrNothing, n, leastPoints+1)
		}
		return nil
	}
	smoother, err := motion.NewSmoother(points.Times, points.Values, motion.SmoothOptions{Gap: longestGap(e.heights.Times)})
	if err != nil {
		return fmt.Errorf("%w: %w", ErrNothing, err)
	}
	smoother.Settle()
	a.run.Noise, a.run.HalfWidth = smoother.Noise, smoother.HalfWidth
	var why error
	for _, p := range kept {
		s, err := a.swing(e, p, smoother)
		if err == nil {
			a.run.Swings = append(a.run.Swings, s)
			continue
		}
		if why == nil {
			why = err
		}
		a.run.Notes = append(a.run.Notes, fmt.Sprintf("%.2f s to %.2f s left out: %s",
			seconds(e.heights.Times[p.from]), seconds(e.heights.Times[p.to]), plain(err)))
	}
	return why
}

// relative returns the relative standard uncertainty of all distances together: scale,
// and speed of sound.
func (a *analyser) relative() float64 {
	d := &a.bench.Calibration.Distance
	u := d.Scale.U / d.Scale.Value
	if ch := a.channels; ch.echoes {
		u = math.Hypot(u, ch.sound.U/ch.sound.Value)
	}
	return u
}
