package main

import (
	"errors"
	"fmt"
	"io"
	"math"

	"joulewell/calib/drift"
	"joulewell/calib/drift/allan"
	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/upkeep"
	"joulewell/energy/quantity"
)

// rest is what a run holds of either sensor while the bob hung at rest.
type rest struct {
	meta            *runfile.Meta // nil = rows without a description
	force, distance seen
	rows, moving    int // [1]
	still           upkeep.Still
	quiet           float64 // [s] the bob counts as moving until then
}

// add takes the next row.
func (r *rest) add(f *frame.Frame) {
	r.rows++
	if !r.still.Look(f) {
		r.quiet = f.Seconds() + drift.Settling
	}
	if f.Seconds() < r.quiet {
		r.moving++
		return
	}
	if v, fresh := forceOf(f, r.meta); fresh {
		r.force.add(f.Seconds(), v)
	}
	if f.Distance.Known() {
		r.distance.add(f.Seconds(), f.Distance.Value)
	}
}

// read takes all rows of a run, worked out again where it is described: how well a
// velocity is known does not stand in a row.
func (r *rest) read(run *runfile.Reader) error {
	if r.meta = run.Meta(); r.meta != nil {
		return daq.Rework(run, &r.meta.Setup, func(_, again *frame.Frame) { r.add(again) })
	}
	for {
		var f frame.Frame
		if err := run.Next(&f); errors.Is(err, io.EOF) {
			return nil
		} else if err != nil {
			return err
		}
		r.add(&f)
	}
}

// printRest prints the Allan deviations of what a run holds of either sensor while the bob
// hung at rest. It refuses a run in which it mostly moved.
func printRest(out io.Writer, name string) error {
	run, err := openRun(name)
	if err != nil {
		return err
	}
	defer run.Close()
	r := rest{quiet: math.Inf(-1)}
	if err := r.read(run); err != nil {
		return err
	}
	if 2*r.moving > r.rows {
		return fmt.Errorf("%s: the bob moves in most of it, so it does not tell what the sensors do at rest: let the bob hang still, record a run and take that", name)
	}
	if len(r.force.times)+len(r.distance.times) == 0 {
		return fmt.Errorf("%s holds neither force nor distance", name)
	}
	if r.moving > 0 {
		fmt.Fprintf(out, "left out: %d of %d rows, in which the bob moved or had just come to rest\n", r.moving, r.rows)
	}
	for _, s := range []struct {
		name, unit string
		seen
	}{{"force", "mN", r.force}, {"distance", "mm", r.distance}} {
		if len(s.times) > 0 {
			if err := s.print(out, s.name, s.unit); err != nil {
				fmt.Fprintf(out, "%s: %v\n", s.name, err)
			}
		}
	}
	return nil
}

// forceOf is the force [N] that a row's own conversion means, by the run's calibration, or
// as the row states it.
func forceOf(f *frame.Frame, meta *runfile.Meta) (newtons float64, fresh bool) {
	indication, ok := f.Reading.Load()
	switch {
	case !ok:
		return 0, false
	case meta != nil:
		return meta.Setup.Calibration.Force.Newtons(indication).Value, true
	}
	return f.Force.Value, !math.IsNaN(f.Force.Value)
}

// seen is what one sensor read.
type seen struct{ times, values []float64 }

func (s *seen) add(t, v float64) {
	if n := len(s.times); n == 0 || t > s.times[n-1] {
		s.times, s.values = append(s.times, t), append(s.values, v)
	}
}

// print prints the Allan deviations of a series, whose values are in thousands of the
// unit.
func (s *seen) print(out io.Writer, name, unit string) error {
	interval, stretches, err := allan.Stretches(s.times, s.values)
	if err != nil {
		return err
	}
	log, err := allan.NewLog(interval, stretches...)
	if err != nil {
		return err
	}
	all, err := log.Octaves(0.95)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s: %d readings, %.4g s apart\n  averaged over      deviation    95 %% between            noise\n", name, len(s.times), interval)
	text := func(v float64) string { return quantity.Round(1e3*v, quantity.Decimals(1e3*v)) }
	for _, d := range all {
		fmt.Fprintf(out, "  %10.4g s  %10s %s  %9s and %-9s  %s\n", d.Tau, text(d.Value), unit, text(d.Low), text(d.High), d.Noise)
	}
	a, err := allan.Advise(all)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "  average over %.3g s: longer gains nothing that this log can show (floor %s %s)\n", a.Average, text(a.Floor.Value), unit)
	if !math.IsNaN(a.Walk) {
		fmt.Fprintf(out, "  from %.3g s on it walks: take the zero anew at least so often\n", a.Walk)
	}
	return nil
}
