package main

import (
	"fmt"
	"io"
	"path/filepath"

	"github.com/spf13/cobra"

	"joulewell/daq/analysis"
	"joulewell/daq/analysis/figure"
	"joulewell/daq/analysis/report"
)

// analyseFlags say what to print of a run, and what the run does not know.
type analyseFlags struct {
	json    bool
	figures string
	model   model
}

func analyseCommand() *cobra.Command {
	var f analyseFlags
	c := &cobra.Command{
		Use:   "analyse RUN.csv...",
		Short: "work recorded runs out as a whole and say where the joules went",
		Long: "analyse fits the motion of each free swing of a run with readings on both sides of\n" +
			"every instant, which no live display can, and keeps the books from the release on:\n" +
			"energies at the turning points, loss cycle by cycle, what decay, force-extension\n" +
			"loops and air drag account for, and what is left over. No spring law and no\n" +
			"conservation of energy enters the motion. Apparatus and calibration are those in\n" +
			"the run's metadata file. A loss is told as part of the energy of the swing: what there\n" +
			"was at the release beyond what the bob has hanging at rest. (What joulewell balance calls\n" +
			"exchanged is larger: all the elastic energy that comes and goes in a swing.)",
		Example: "  joulewell analyse runs/2026-11-25T184210Z-tamar.csv\n" +
			"  joulewell analyse --bob-diameter 25 --figures figures runs/*.csv\n" +
			"  joulewell analyse --json runs/2026-11-25T184210Z-tamar.csv",
		Args: arguments(1, many, "a run file"),
		RunE: func(c *cobra.Command, args []string) error {
			if err := f.model.check(); err != nil {
				return err
			}
			for i, name := range args {
				if i > 0 && !f.json {
					fmt.Fprintln(c.OutOrStdout())
				}
				if err := f.analyse(c.OutOrStdout(), name); err != nil {
					return err
				}
			}
			return nil
		},
	}
	c.Flags().BoolVar(&f.json, "json", false, "print one JSON object for each run, standard uncertainties and units in the keys")
	c.Flags().StringVar(&f.figures, "figures", "", "write figures as SVG into this `folder`")
	f.model.add(c)
	return c
}

func (f *analyseFlags) analyse(out io.Writer, name string) error {
	run, err := openRun(name)
	if err != nil {
		return err
	}
	defer run.Close()
	base := filepath.Base(name)
	if run.Meta() == nil {
		return fmt.Errorf("analyse %s: its metadata file %s-metadata.json is missing: apparatus and calibration stand there", name, base)
	}
	b := &run.Meta().Setup
	o, err := f.model.on(b)
	if err != nil {
		return err
	}
	result, err := analysis.Analyse(run, b, o)
	if err != nil {
		return fmt.Errorf("analyse %s: %w", name, err)
	}
	if f.figures != "" {
		if err := figure.Write(f.figures, base, result); err != nil {
			return fmt.Errorf("analyse %s: %w", name, err)
		}
	}
	if f.json {
		return report.JSON(out, base, b, result)
	}
	return report.Text(out, base, b, result)
}
