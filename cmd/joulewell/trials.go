package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"joulewell/daq/analysis/report"
	"joulewell/daq/series"
	"joulewell/daq/trials"
	"joulewell/daq/trials/collect"
	"joulewell/daq/trials/kept"
	"joulewell/daq/trials/table"
	"joulewell/daq/trials/tidy"
)

func trialsCommand() *cobra.Command {
	o := collect.Options{Rule: trials.Rule{Cycles: 10}, Software: "joulewell " + version()}
	var asCSV, asJSON bool
	c := &cobra.Command{
		Use:   "trials RUN.csv|FOLDER...",
		Short: "find the drops in recorded runs, judge each and say what they show together",
		Long: "trials finds every release in recorded runs (the bob held still, then moving by\n" +
			"itself), works the swing after it out, and says whether it counts: not when the bob\n" +
			"was pushed, touched the floor, swung sideways or was lost to the sensor. A bad trial\n" +
			"stays in the table, with its reason. Trials that a daemon recorded are over by the\n" +
			"rule they were recorded by, unless --cycles says otherwise. Then come, for each group, the means of the\n" +
			"trials that count, and what may be claimed of the difference between groups.\n\n" +
			"What is kept beside a run is read; a run without it is worked out anew. A table that\n" +
			"--csv printed is read too, also as a spreadsheet saved it again.",
		Example: "  joulewell trials runs\n  joulewell trials --csv runs/*.csv > trials.csv\n  joulewell trials --again --keep runs",
		Args:    arguments(1, many, "a run file, or a folder of runs"),
		RunE: func(c *cobra.Command, args []string) error {
			if asCSV && asJSON {
				return usageError{errors.New("trials: --csv and --json exclude each other")}
			}
			o.Ruled = c.Flags().Changed("cycles")
			o.Again = o.Again || o.Ruled
			if err := series.CheckRule(o.Rule); err != nil {
				return usageError{fmt.Errorf("trials: --cycles: %w", err)}
			}
			found, err := collected(c.ErrOrStderr(), args, o)
			if err != nil {
				return err
			}
			switch {
			case asCSV:
				return tidy.Write(c.OutOrStdout(), found)
			case asJSON:
				return trialsJSON(c.OutOrStdout(), found)
			}
			return trialsText(c.OutOrStdout(), found)
		},
	}
	c.Flags().IntVar(&o.Rule.Cycles, "cycles", o.Rule.Cycles, "work out anew, a trial being over after so many; 0 = however many")
	c.Flags().BoolVar(&o.Again, "again", false, "work out anew also what is kept; labels and what people overruled stay")
	c.Flags().BoolVar(&o.Keep, "keep", false, "keep what was worked out anew beside its run, so that the next table opens at once")
	c.Flags().BoolVar(&asCSV, "csv", false, "print one row a trial for a table, units in the names")
	c.Flags().BoolVar(&asJSON, "json", false, "print trials and statistics as JSON")
	return c
}

// collected collects trials, and tells on the way what could not be taken. Nothing at all
// is an error.
func collected(complaints io.Writer, paths []string, o collect.Options) ([]kept.Kept, error) {
	found := collect.Trials(paths, o)
	for _, t := range found.Troubles {
		fmt.Fprintf(complaints, "joulewell: %v\n", t)
	}
	if len(found.Kept) == 0 {
		return nil, errors.New("no trials found: name run files, or folders that hold some")
	}
	return found.Kept, nil
}

func trialsJSON(out io.Writer, found []kept.Kept) error {
	e := json.NewEncoder(out)
	e.SetIndent("", " ")
	return e.Encode(struct {
		Runs  []kept.Kept `json:"runs"`
		Table table.Table `json:"table"`
	}{found, table.Of(kept.Trials(found))})
}

// trialsText prints a table for a person, then what the trials say together; ± is the
// expanded uncertainty.
func trialsText(out io.Writer, found []kept.Kept) error {
	all := kept.Trials(found)
	if len(all) == 0 {
		_, err := fmt.Fprintln(out, "no release seen")
		return err
	}
	w := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "trial\trun\tgroup\trelease / s\tcycles\tamplitude / mm\tperiod / s\tlost in the first fall / mJ\tlost a cycle / mJ\tcounts")
	for i := range all {
		r := &all[i].Row
		fmt.Fprintf(w, "%d\t%s\t%s\t%.2f\t%d\t%s\t%s\t%s\t%s\t%s\n", i+1, r.Run, all[i].Group, r.Release, r.Cycles,
			report.Shown(r.Amplitude, 1e3), report.Shown(r.Period, 1), report.Shown(r.FirstLoss, 1e3), report.Shown(r.CycleLoss, 1e3), r.Verdict())
	}
	if err := w.Flush(); err != nil {
		return err
	}
	for i := range all {
		r := &all[i].Row
		for _, f := range r.Findings {
			fmt.Fprintf(out, "%s, %.2f s: %s: %s\n", r.Run, r.Release, f.Fault, f.Sentence)
		}
	}
	t := table.Of(all)
	return table.Text(out, &t)
}
