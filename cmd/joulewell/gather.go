package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"

	"github.com/spf13/cobra"

	"joulewell/daq/analysis/figure"
	"joulewell/daq/trials"
	"joulewell/daq/trials/collect"
	"joulewell/daq/trials/kept"
	"joulewell/daq/trials/table"
	"joulewell/daq/trials/tidy"
)

func gatherCommand() *cobra.Command {
	o := collect.Options{Rule: trials.Rule{Cycles: 10}, Software: "joulewell " + version()}
	var asCSV, asJSON bool
	var chart string
	c := &cobra.Command{
		Use:   "gather FOLDER|TRIALS.csv...",
		Short: "what all groups of a class found, beside each other: mean, uncertainty, consistency",
		Long: "gather puts the results of all groups beside each other: the folders of several benches,\n" +
			"or tables that joulewell trials --csv printed there. A group is a label, else a bench. It\n" +
			"gives the weighted mean, and by Birge ratio and chi-squared whether the groups agree;\n" +
			"what benches share (gravity, a spring that went round) is not counted twice.",
		Example: "  joulewell gather tamar severn tees\n  joulewell gather --chart class.svg tamar severn\n  joulewell gather --csv tamar severn > marks.csv",
		Args:    arguments(1, many, "the folders of the benches"),
		RunE: func(c *cobra.Command, args []string) error {
			if asCSV && asJSON {
				return usageError{errors.New("gather: --csv and --json exclude each other")}
			}
			o.Ruled = c.Flags().Changed("cycles")
			o.Again = o.Again || o.Ruled
			found, err := collected(c.ErrOrStderr(), args, o)
			if err != nil {
				return err
			}
			class := table.ClassOf(kept.Trials(found))
			if chart != "" {
				if err := drawClass(chart, &class); err != nil {
					return err
				}
			}
			switch {
			case asCSV:
				return tidy.WriteGroups(c.OutOrStdout(), &class)
			case asJSON:
				e := json.NewEncoder(c.OutOrStdout())
				e.SetIndent("", " ")
				return e.Encode(class)
			}
			return table.ClassText(c.OutOrStdout(), &class)
		},
	}
	c.Flags().IntVar(&o.Rule.Cycles, "cycles", o.Rule.Cycles, "work out anew, a trial being over after so many; 0 = however many")
	c.Flags().BoolVar(&o.Again, "again", false, "work out anew also what is kept; labels and what people overruled stay")
	c.Flags().StringVar(&chart, "chart", "", "draw the groups into this SVG file")
	c.Flags().BoolVar(&asCSV, "csv", false, "print one row a group, for a mark book")
	c.Flags().BoolVar(&asJSON, "json", false, "print all as JSON")
	return c
}

// drawClass writes the chart; it replaces one of the same name.
func drawClass(path string, class *table.Class) error {
	f, err := os.Create(path)
	if err != nil {
		return fmt.Errorf("draw the groups: %w", err)
	}
	if err := errors.Join(figure.Class(f, class), f.Close()); err != nil {
		os.Remove(path)
		return err
	}
	return nil
}
