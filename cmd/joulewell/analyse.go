package main

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"path/filepath"

	"github.com/spf13/cobra"

	"joulewell/daq/analysis"
	"joulewell/daq/analysis/figure"
	"joulewell/daq/analysis/report"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// analyseFlags say what a run file does not, and what to make of it.
type analyseFlags struct {
	json     bool
	figures  string
	diameter float64 // [mm]
	shape    string

	reference string
	method    string
	seed      uint64
}

// shapes of a bob that the air meets.
var shapes = map[string]func() loss.Range{"cylinder": loss.CylinderAlong, "ball": loss.Sphere}

func analyseCommand() *cobra.Command {
	f := analyseFlags{shape: "cylinder", reference: "floor", method: "linear", seed: 1}
	c := &cobra.Command{
		Use:   "analyse RUN.csv...",
		Short: "work recorded runs out as a whole and say where the joules went",
		Long: "analyse fits the motion of each free swing of a run with readings on both sides of\n" +
			"every instant, which no live display can, and keeps the books from the release on:\n" +
			"energies at the turning points, loss cycle by cycle, what decay, force-extension\n" +
			"loops and air drag account for, and what is left over. No spring law and no\n" +
			"conservation of energy enters the motion. Apparatus and calibration are those in\n" +
			"the run's metadata file.",
		Example: "  joulewell analyse runs/2026-11-25T184210Z-tamar.csv\n" +
			"  joulewell analyse --bob-diameter 25 --figures figures runs/*.csv\n" +
			"  joulewell analyse --json runs/2026-11-25T184210Z-tamar.csv",
		Args: arguments(cobra.MinimumNArgs(1)),
		RunE: func(c *cobra.Command, args []string) error {
			options, err := f.options(c.Flags().Changed("bob-diameter"))
			if err != nil {
				return usageError{err}
			}
			for i, name := range args {
				if i > 0 && !f.json {
					fmt.Fprintln(c.OutOrStdout())
				}
				if err := f.analyse(c.OutOrStdout(), name, options); err != nil {
					return err
				}
			}
			return nil
		},
	}
	c.Flags().BoolVar(&f.json, "json", false, "print one JSON object for each run, standard uncertainties and units in the keys")
	c.Flags().StringVar(&f.figures, "figures", "", "write figures as SVG into this `folder`")
	c.Flags().Float64Var(&f.diameter, "bob-diameter", 0, "diameter of the bob in `mm`, for the bounds of air drag")
	c.Flags().StringVar(&f.shape, "bob-shape", f.shape, "shape that meets the air: cylinder (along its axis) or ball")
	c.Flags().StringVar(&f.reference, "reference", f.reference, "from where gravitational energy counts: floor, rest (where the bob hangs at rest)\nor a height as in 350mm")
	c.Flags().StringVar(&f.method, "method", f.method, "of getting the uncertainty of losses: linear, or montecarlo beside it")
	c.Flags().Uint64Var(&f.seed, "seed", f.seed, "of the random numbers for montecarlo")
	return c
}

// level is the reference height [m] on a bench.
func (f *analyseFlags) level(b *setup.Bench) (float64, error) {
	switch f.reference {
	case "floor":
		return 0, nil
	case "rest":
		return b.Apparatus.Height(b.Apparatus.Equilibrium()), nil
	}
	q, err := quantity.Parse(f.reference, quantity.Length)
	if err != nil {
		return 0, usageError{fmt.Errorf("--reference: floor, rest, or a height: %w", err)}
	}
	return q.Value, nil
}

func (f *analyseFlags) options(sized bool) (analysis.Options, error) {
	coefficient, ok := shapes[f.shape]
	switch {
	case f.method != "linear" && f.method != "montecarlo":
		return analysis.Options{}, fmt.Errorf("--method %s: must be linear or montecarlo", f.method)
	case !ok:
		return analysis.Options{}, fmt.Errorf("--bob-shape %s: must be cylinder or ball", f.shape)
	case !sized:
		return analysis.Options{}, nil
	case !(f.diameter > 0 && f.diameter <= 1000):
		return analysis.Options{}, fmt.Errorf("--bob-diameter %g: must lie above 0 and not above 1000 mm", f.diameter)
	}
	area := math.Pi / 4 * f.diameter * f.diameter * 1e-6
	return analysis.Options{Drag: &loss.Drag{Area: area, Coefficient: coefficient(), Air: loss.RoomAir()}}, nil
}

func (f *analyseFlags) analyse(out io.Writer, name string, o analysis.Options) error {
	run, err := runfile.Open(name)
	if err != nil {
		return err
	}
	defer run.Close()
	base := filepath.Base(name)
	if run.Meta() == nil {
		return fmt.Errorf("analyse %s: its metadata file %s-metadata.json is missing: apparatus and calibration stand there", name, base)
	}
	b := &run.Meta().Setup
	if o.Reference, err = f.level(b); err != nil {
		return err
	}
	if f.method == "montecarlo" {
		o.Source = rand.NewPCG(f.seed, 0)
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
