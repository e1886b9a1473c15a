package upkeep

import (
	"errors"
	"fmt"
	"math"

	"joulewell/calib/fit"
	"joulewell/calib/springs"
	"joulewell/calib/timing"
	"joulewell/daq/analysis"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// Recording is a recorded run, with the bench it was recorded on.
type Recording struct {
	Name  string
	Rows  analysis.Rows
	Bench *setup.Bench
}

// FindDelay finds by how much the force lags behind the distance, from free swings, and
// from records of the spring's lower end moved by hand.
func FindDelay(f *setup.File, swings, strokes []Recording) (*Finding, error) {
	var runs []timing.Run
	for _, r := range swings {
		run, err := swung(&r)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.Name, err)
		}
		runs = append(runs, run)
	}
	for _, r := range strokes {
		heights, forces, err := analysis.Read(r.Rows, &r.Bench.Calibration)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.Name, err)
		}
		run, err := timing.FromStrokes(heights, forces)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", r.Name, err)
		}
		runs = append(runs, since(run, &r))
	}
	r, err := timing.Combine(runs)
	if err != nil {
		return nil, err
	}
	const milli = 1e-3
	lag := energy.Estimate{Value: r.Values[timing.Lag] / milli, U: r.U(timing.Lag) / milli}
	// Only the difference counts where the two meet; the distance keeps the delay it has.
	delay := f.Bench.Calibration.Distance.Delay.Value/milli + lag.Value
	if delay < 0 {
		return nil, fmt.Errorf("the force comes %.1f ms before the distance: give the distance a delay of at least so much in the bench file (distance_delay_ms)", -delay)
	}
	found := &Finding{Kind: Timing, Summary: r.Summary(), Doubts: r.Doubts,
		Figures: []Figure{figure("lag of the force behind the distance", lag.Value, lag.U, "ms")},
		AsLeft:  map[string]any{"force_delay_ms": digits(delay, lag.U), "force_delay_u_ms": digits(lag.U, lag.U)},
	}
	if len(runs) > 1 {
		found.Figures = append(found.Figures, figure("Birge ratio of the runs", r.Birge, math.NaN(), ""))
	}
	for i, off := range r.Residuals {
		found.Residuals = append(found.Residuals, Residual{i, runs[i].Period, off})
	}
	return found, nil
}

// swung is what a free swing says, by its analysis.
func swung(r *Recording) (timing.Run, error) {
	run, err := analysis.Analyse(r.Rows, r.Bench, analysis.Options{})
	if err != nil {
		return timing.Run{}, err
	}
	if run.Delay == nil {
		return timing.Run{}, errors.New("the delay cannot be told: a free swing of several cycles with both sensors is needed")
	}
	out := timing.Run{Lag: run.Delay.Lag, Feigned: energy.Estimate{Value: run.Delay.Friction}}
	if n := run.Counts.Forces; n > 1 {
		out.Step = run.Length / float64(n-1)
	}
	for i := range run.Swings {
		if p := run.Swings[i].Period; p != nil {
			out.Period = max(out.Period, p.Value)
		}
	}
	return since(out, r), nil
}

// since counts a lag from no delay at all, and not from the one that was calibrated when
// the run was recorded.
func since(run timing.Run, r *Recording) timing.Run {
	c := &r.Bench.Calibration
	run.Lag.Value += c.Force.Delay.Value - c.Distance.Delay.Value
	return run
}

// pullStep is the time [s] between two points of a slow pull that are looked at.
const pullStep = 0.05

// FindPull finds the law of a spring that was drawn out slowly and let back.
func FindPull(f *setup.File, r Recording) (*Finding, error) {
	heights, forces, err := analysis.Read(r.Rows, &r.Bench.Calibration)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", r.Name, err)
	}
	if len(forces.Times) < 2 || len(heights.Times) < 2 {
		return nil, fmt.Errorf("%s: both sensors are needed for a slow pull", r.Name)
	}
	a, c := &f.Bench.Apparatus, &f.Bench.Calibration
	pull := springs.Pull{SpringMass: a.Spring.Mass, Gravity: a.Gravity,
		ForceScale:     []fit.Source{{Name: "span of the force", Effects: []float64{c.Force.Span.U / c.Force.Span.Value}}},
		ForceZero:      []fit.Source{{Name: "zero of the force", Effects: []float64{c.Force.Span.Value * c.Force.Zero.U}}},
		ExtensionScale: []fit.Source{{Name: "scale of the distance", Effects: []float64{c.Distance.Scale.U / c.Distance.Scale.Value}}},
		ExtensionZero: []fit.Source{
			{Name: "offset of the distance", Effects: []float64{-c.Distance.Offset.U}},
			{Name: "support height", Effects: []float64{a.Support.U}},
			{Name: "bob length", Effects: []float64{-a.Bob.Length.U}},
			{Name: "natural length", Effects: []float64{-a.Spring.NaturalLength.U}},
		},
	}
	at := func(times []int64, values []float64, k *int, t int64) (float64, bool) {
		for *k+2 < len(times) && times[*k+1] <= t {
			*k++
		}
		t0, t1 := times[*k], times[*k+1]
		if t < t0 || t > t1 {
			return 0, false
		}
		return values[*k] + (values[*k+1]-values[*k])*float64(t-t0)/float64(t1-t0), true
	}
	var kh, kf int
	step := int64(pullStep * 1e9)
	for t := max(heights.Times[0], forces.Times[0]); ; t += step {
		h, in := at(heights.Times, heights.Values, &kh, t)
		n, also := at(forces.Times, forces.Values, &kf, t)
		if !in || !also {
			break
		}
		pull.Points = append(pull.Points, springs.Drawn{Extension: a.Extension(h), Force: n})
	}
	d, err := pull.Calibrate()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", r.Name, err)
	}
	found, err := foundSpring(&a.Spring, []*springs.Result{&d.Result})
	if err != nil {
		return nil, err
	}
	found.Kind = Spring
	if d.Loop.Known() {
		found.Figures = append(found.Figures, figure("work kept between drawing and letting back", 1e3*d.Loop.Value, 1e3*d.Loop.U, "mJ"))
	}
	if d.Probability < 0.01 { // bent: the curve itself goes into the book
		var mm, newtons []any
		for i, x := range d.Law.Extension {
			if x >= 0 {
				mm, newtons = append(mm, digits(1e3*x, 0.1)), append(newtons, digits(d.Law.Load[i], 0.01))
			}
		}
		found.AsLeft["spring_curve_mm"], found.AsLeft["spring_curve_N"] = mm, newtons
	}
	return found, nil
}
