package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"joulewell/calib/drift"
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
		Args:    arguments(0, 0, ""),
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
		fmt.Fprintf(out, "  %s (checks: %d): ", name, len(s.History.Records))
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
