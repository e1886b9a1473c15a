package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"

	"github.com/spf13/cobra"

	"joulewell/energy/balance"
	"joulewell/energy/quantity"
)

func balanceCommand() *cobra.Command {
	var h hand
	var r balance.Readings
	method, seed := "linear", uint64(1)
	c := &cobra.Command{
		Use:   "balance",
		Short: "compare the energies of two states from readings by hand, no sensor needed",
		Long: "balance says whether mechanical energy was lost between two states of the bob, from\n" +
			"what rule and balance told. Each reading is written as in 71.2cm (known to its last\n" +
			"digit), \"71.2cm +- 0.5mm\" (standard uncertainty), \"250.10g +- 0.02g k=2\" (from a\n" +
			"certificate) or \"71.2cm read to 5mm\" (division of the scale). A state is told by the\n" +
			"height of the bob's lowest point or by the length of the spring.",
		Example: "  joulewell balance --bob-mass 250.1g --bob-length 6.2cm --spring-mass 9.8g \\\n" +
			"    --natural-length 11.8cm --spring-rate \"24.6N/m +- 0.1N/m\" \\\n" +
			"    --latitude 53.4deg --altitude 30m --support-height 96.5cm \\\n" +
			"    --start-height 78.4cm --end-height 59.4cm\n" +
			"  joulewell balance --config bench.toml --from readings.csv --method montecarlo",
		Args: arguments(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			var by balance.Method
			switch method {
			case "linear":
			case "montecarlo":
				by = balance.Method{MonteCarlo: true, Source: rand.NewPCG(seed, 0)}
			default:
				return usageError{fmt.Errorf("--method %s: must be linear or montecarlo", method)}
			}
			if err := h.gather(c, &r.Bench); err != nil {
				return err
			}
			x, err := balance.Compare(r, by)
			if err != nil {
				return refused(err)
			}
			if h.json {
				return printJSON(c.OutOrStdout(), x.Report())
			}
			balanceText(c.OutOrStdout(), x)
			return nil
		},
	}
	h.take(r.Fields())
	h.add(c)
	c.Flags().BoolVar(&r.Swinging, "swinging", false, "the start is a turning point of a swing under way, not a release")
	c.Flags().StringVar(&method, "method", method, "of getting the uncertainty: linear or montecarlo")
	c.Flags().Uint64Var(&seed, "seed", seed, "of the random numbers for montecarlo")
	return c
}

// balanceText prints a comparison for a person: what contradicts itself, else the verdict,
// first.
func balanceText(w io.Writer, x *balance.Comparison) {
	for _, s := range x.Contradictions {
		fmt.Fprintf(w, "CONTRADICTION: %s\n", s)
	}
	if len(x.Contradictions) > 0 {
		fmt.Fprint(w, "Read these again first; what follows holds only if it is their uncertainty that is too small.\n\n")
	}
	fmt.Fprintln(w, x.Verdict)
	unit, scale := "mJ", 1e-3
	largest := 0.0
	for _, l := range x.Lines {
		largest = max(largest, abs(l.Start.Value), abs(l.End.Value))
	}
	if largest >= 10 {
		unit, scale = "J", 1
	}
	decimals := max(0, quantity.Decimals(x.Loss.U/scale))
	fmt.Fprintf(w, "\n%-24s %9s %7s %10s %7s %10s %7s\n", "energies in "+unit, "start", "u", "end", "u", "change", "u")
	for _, l := range x.Lines {
		cell := func(v float64) string { return quantity.Round(v/scale, decimals) }
		fmt.Fprintf(w, "  %-22s %9s %7s %10s %7s %10s %7s\n", l.Name, cell(l.Start.Value), cell(l.Start.U),
			cell(l.End.Value), cell(l.End.U), cell(l.Change.Value), cell(l.Change.U))
	}
	fmt.Fprintln(w)
	budgetTable(w, quantity.Energy, x.Loss, x.Inputs)
	if d := x.Drawn; d != nil {
		fmt.Fprintf(w, "\nMonte Carlo, %d draws: lost %s, 95 %% between %s and %s; the linear method says ± %s\n", d.Trials,
			quantity.Energy.Text(d.Mean, d.U), quantity.Energy.Text(d.Low, d.U), quantity.Energy.Text(d.High, d.U),
			quantity.Energy.Text(x.Expanded, x.Expanded))
	}
	fmt.Fprintf(w, "\n%s\n\n", x.Advice)
	for _, n := range x.Notes {
		fmt.Fprintf(w, "- %s\n", n)
	}
}

func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
