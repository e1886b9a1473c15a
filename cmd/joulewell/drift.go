package main

import (
	"errors"
	"fmt"
	"io"
	"math"

	"github.com/spf13/cobra"

	"joulewell/calib/drift"
	"joulewell/calib/drift/allan"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/upkeep"
)

func driftCommand() *cobra.Command {
	var config, rest string
	c := &cobra.Command{
		Use:   "drift",
		Short: "say whether the sensors have moved since they were calibrated, and how long to average",
		Long: "drift reads the books of checks beside the bench file (joulewell calibrate --check adds\n" +
			"to them) and judges each standard by control charts: in control, look, or recalibrate,\n" +
			"with the reason and the drift in a month. With --rest it looks at a run recorded while\n" +
			"the bob hung at rest, and says by its Allan deviations how long averaging pays and\n" +
			"from when on the zero walks.",
		Example: "  joulewell drift --config bench.toml\n  joulewell drift --rest runs/2026-11-25T184210Z-tamar.csv",
		Args:    arguments(cobra.NoArgs),
		RunE: func(c *cobra.Command, _ []string) error {
			if rest != "" {
				return printRest(c.OutOrStdout(), rest)
			}
			desk, err := openDesk(config)
			if err != nil {
				return err
			}
			printStanding(c.OutOrStdout(), desk)
			for _, k := range []upkeep.Kind{upkeep.Force, upkeep.Distance} {
				if err := printChecks(c.OutOrStdout(), desk, k); err != nil {
					return err
				}
			}
			return nil
		},
	}
	c.Flags().StringVar(&config, "config", benchFile, "the bench file")
	c.Flags().StringVar(&rest, "rest", "", "a run file, recorded at rest")
	return c
}

// month is a twelfth of a year of 365.25 days.
const month = 365.25 / 12 * 86400 // [s]

// printChecks prints how each standard of a sensor stands.
func printChecks(out io.Writer, desk *upkeep.Desk, k upkeep.Kind) error {
	list, err := desk.Checked(k)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "%s\n", k.Part())
	if len(list) == 0 {
		fmt.Fprintf(out, "  no checks since it was calibrated: joulewell calibrate %s --check adds one\n", k)
		return nil
	}
	unit := map[upkeep.Kind]string{upkeep.Force: "mN", upkeep.Distance: "mm"}[k]
	for i := range list {
		s := &list[i]
		name := string(s.What)
		if s.Standard != "" {
			name += " " + s.Standard
		}
		fmt.Fprintf(out, "  %s, %d checks: ", name, len(s.History.Records))
		if s.Verdict != nil {
			fmt.Fprintln(out, s.Verdict.Reason)
		} else {
			fmt.Fprintln(out, s.NotYet)
		}
		if t := s.Trend; t != nil {
			says := "no drift is seen"
			if t.Significant() {
				says = "it drifts"
			}
			fmt.Fprintf(out, "    %+.2g %s a month, between %+.2g and %+.2g (95 %%): %s\n", 1e3*t.Rate.Value*month, unit, 1e3*t.Low*month, 1e3*t.High*month, says)
			if t.Temperature.Known() {
				fmt.Fprintf(out, "    %+.2g %s for each kelvin of the air, u %.2g\n", 1e3*t.Temperature.Value, unit, 1e3*t.Temperature.U)
			}
		}
	}
	return nil
}

// printRest prints the Allan deviations of what a run holds of either sensor.
func printRest(out io.Writer, name string) error {
	run, err := runfile.Open(name)
	if err != nil {
		return err
	}
	defer run.Close()
	var force, distance seen
	for {
		var f frame.Frame
		err := run.Next(&f)
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return err
		}
		if v, fresh := forceOf(&f, run.Meta()); fresh {
			force.add(f.Seconds(), v)
		}
		if !math.IsNaN(f.Distance.Value) {
			distance.add(f.Seconds(), f.Distance.Value)
		}
	}
	if len(force.times)+len(distance.times) == 0 {
		return fmt.Errorf("%s holds neither force nor distance", name)
	}
	for _, s := range []struct {
		name, unit string
		seen
	}{{"force", "mN", force}, {"distance", "mm", distance}} {
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
	for _, d := range all {
		fmt.Fprintf(out, "  %10.4g s  %10.3g %s  %9.3g and %-9.3g  %s\n", d.Tau, 1e3*d.Value, unit, 1e3*d.Low, 1e3*d.High, d.Noise)
	}
	a, err := allan.Advise(all)
	if err != nil {
		return err
	}
	fmt.Fprintf(out, "  average over %.3g s: longer gains nothing that this log can show (floor %.2g %s)\n", a.Average, 1e3*a.Floor.Value, unit)
	if !math.IsNaN(a.Walk) {
		fmt.Fprintf(out, "  from %.3g s on it walks: take the zero anew at least so often\n", a.Walk)
	}
	return nil
}

// printRecords tells of checks that were kept.
func printRecords(out io.Writer, records []drift.Record) {
	for i := range records {
		r := &records[i]
		name, unit := string(r.What), "mN"
		if r.Standard != "" {
			name += " " + r.Standard
		}
		if r.What == drift.Height {
			unit = "mm"
		}
		d := r.Deviation()
		fmt.Fprintf(out, "%s: off by %+.3g %s, u %.2g\n", name, 1e3*d.Value, unit, 1e3*d.U)
	}
}
