package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"joulewell/daq/runfile"
	"joulewell/daq/series"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

func trialsCommand() *cobra.Command {
	rule := trials.Rule{Cycles: 10}
	var asCSV bool
	c := &cobra.Command{
		Use:   "trials RUN.csv...",
		Short: "find the drops in recorded runs, judge each and put them in a table",
		Long: "trials finds every release in recorded runs (the bob held still, then moving by\n" +
			"itself), works the swing after it out, and says whether it counts: not when the bob\n" +
			"was pushed, touched the floor, swung sideways or was lost to the sensor. A bad trial\n" +
			"stays in the table, with its reason. Trials that a daemon recorded are over by the\n" +
			"rule they were recorded by, unless --cycles says otherwise.",
		Example: "  joulewell trials runs/*.csv\n  joulewell trials --csv runs/*.csv > trials.csv",
		Args:    arguments(cobra.MinimumNArgs(1)),
		RunE: func(c *cobra.Command, args []string) error {
			var rows []trials.Row
			for _, name := range args {
				by := rule
				if k, err := keptOf(name); err == nil && k.Rule != nil && !c.Flags().Changed("cycles") {
					by = *k.Rule
				}
				found, err := trialsOf(name, by)
				if err != nil {
					return fmt.Errorf("%s: %w", name, err)
				}
				rows = append(rows, found...)
			}
			if asCSV {
				return trialsCSV(c.OutOrStdout(), rows)
			}
			return trialsText(c.OutOrStdout(), rows)
		},
	}
	c.Flags().IntVar(&rule.Cycles, "cycles", rule.Cycles, "after which a trial is over; 0 = however many")
	c.Flags().BoolVar(&asCSV, "csv", false, "print one row a trial for a table, units in the names")
	return c
}

// keptOf reads what a daemon has kept of a run's trials.
func keptOf(name string) (kept.Kept, error) {
	dir, err := os.OpenRoot(filepath.Dir(name))
	if err != nil {
		return kept.Kept{}, err
	}
	defer dir.Close()
	return kept.Read(dir, strings.TrimSuffix(filepath.Base(name), ".csv"))
}

// trialsOf finds the trials of one run.
func trialsOf(name string, rule trials.Rule) ([]trials.Row, error) {
	run, err := runfile.Open(name)
	if err != nil {
		return nil, err
	}
	defer run.Close()
	rows, err := series.Judge(run, rule)
	for i := range rows {
		rows[i].Run = filepath.Base(name)
	}
	return rows, err
}

// trialsText prints a table for a person; ± is the expanded uncertainty.
func trialsText(out io.Writer, rows []trials.Row) error {
	if len(rows) == 0 {
		fmt.Fprintln(out, "no release seen")
		return nil
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "run\trelease / s\tcycles\tamplitude / mm\tperiod / s\tlost in the first fall / mJ\tlost a cycle / mJ\tcounts")
	for _, r := range rows {
		counts := "yes"
		if !r.Counts {
			counts = "no"
		}
		fmt.Fprintf(w, "%s\t%.2f\t%d\t%s\t%s\t%s\t%s\t%s\n", r.Run, r.Release, r.Cycles,
			shown(r.Amplitude, 1e3), shown(r.Period, 1), shown(r.FirstLoss, 1e3), shown(r.CycleLoss, 1e3), counts)
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for _, r := range rows {
		for _, f := range r.Findings {
			fmt.Fprintf(out, "%s, %.2f s: %s: %s\n", r.Run, r.Release, f.Fault, f.Sentence)
		}
	}
	return nil
}

// shown is an estimate with its expanded uncertainty, times a factor.
func shown(e *energy.Estimate, factor float64) string {
	if e == nil {
		return "-"
	}
	u := loss.Coverage * e.U * factor
	d := quantity.Decimals(u)
	return quantity.Round(e.Value*factor, d) + " ± " + quantity.Round(u, d)
}

// trialsCSV prints one row a trial.
func trialsCSV(out io.Writer, rows []trials.Row) error {
	w := csv.NewWriter(out)
	w.Write(trials.Header())
	for i := range rows {
		w.Write(rows[i].Fields())
	}
	w.Flush()
	return w.Error()
}
