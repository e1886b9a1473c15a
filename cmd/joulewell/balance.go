package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
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
		Args: arguments(cobra.NoArgs),
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
				return balanceJSON(c.OutOrStdout(), x)
			}
			balanceText(c.OutOrStdout(), x)
			return nil
		},
	}
	h.benchReadings(&r.Bench)
	h.readings = append(h.readings,
		&reading{name: "hung-length", kind: quantity.Length, to: &r.Hung, help: "of the spring hanging by itself: a check, need not be given"},
		&reading{name: "start-height", kind: quantity.Length, to: &r.Start.Height, help: "of the bob's lowest point above the floor"},
		&reading{name: "start-length", kind: quantity.Length, to: &r.Start.Length, help: "of the spring"},
		&reading{name: "start-speed", kind: quantity.Speed, to: &r.Start.Speed, zero: true, help: "of the bob (at rest)"},
		&reading{name: "end-height", kind: quantity.Length, to: &r.End.Height, help: "of the bob's lowest point above the floor"},
		&reading{name: "end-length", kind: quantity.Length, to: &r.End.Length, help: "of the spring"},
		&reading{name: "end-speed", kind: quantity.Speed, to: &r.End.Speed, zero: true, help: "of the bob (at rest)"},
	)
	h.add(c)
	c.Flags().BoolVar(&r.Swinging, "swinging", false, "the start is a turning point of a swing under way, not a release")
	c.Flags().StringVar(&method, "method", method, "of getting the uncertainty: linear or montecarlo")
	c.Flags().Uint64Var(&seed, "seed", seed, "of the random numbers for montecarlo")
	return c
}

// balanceText prints a comparison for a person, the verdict first.
func balanceText(w io.Writer, x *balance.Comparison) {
	fmt.Fprintln(w, x.Verdict)
	for _, s := range x.Contradictions {
		fmt.Fprintf(w, "CONTRADICTION: %s\n", s)
	}
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

type jsonLine struct {
	Name    string  `json:"name"`
	Start   float64 `json:"start_J"`
	StartU  float64 `json:"start_u_J"`
	End     float64 `json:"end_J"`
	EndU    float64 `json:"end_u_J"`
	Change  float64 `json:"change_J"`
	ChangeU float64 `json:"change_u_J"`
}

type jsonDrawn struct {
	Trials int     `json:"trials"`
	Mean   float64 `json:"mean_J"`
	U      float64 `json:"u_J"`
	Low    float64 `json:"low_J"`
	High   float64 `json:"high_J"`
}

type jsonComparison struct {
	Verdict        string             `json:"verdict"`
	Loss           jsonResult         `json:"loss_J"`
	Exchanged      float64            `json:"exchanged_J"`
	MonteCarlo     *jsonDrawn         `json:"monte_carlo,omitempty"`
	Energies       []jsonLine         `json:"energies"`
	Budget         []jsonContribution `json:"budget"`
	Contradictions []string           `json:"contradictions"`
	Advice         string             `json:"advice"`
	Notes          []string           `json:"notes"`
}

// balanceJSON prints a comparison for a program.
func balanceJSON(w io.Writer, x *balance.Comparison) error {
	out := jsonComparison{
		Verdict: x.Verdict, Exchanged: x.Exchanged, Budget: jsonBudget(quantity.Energy, x.Loss, x.Inputs),
		Loss:           jsonResult{Value: x.Loss.Value, U: x.Loss.U, Expanded: x.Expanded, Coverage: x.Coverage},
		Contradictions: append([]string{}, x.Contradictions...), Advice: x.Advice, Notes: x.Notes,
	}
	if dof := x.Loss.Budget.DoF; !math.IsInf(dof, 1) {
		out.Loss.DoF = &dof
	}
	for _, l := range x.Lines {
		out.Energies = append(out.Energies, jsonLine{
			l.Name, l.Start.Value, l.Start.U, l.End.Value, l.End.U, l.Change.Value, l.Change.U,
		})
	}
	if d := x.Drawn; d != nil {
		out.MonteCarlo = &jsonDrawn{d.Trials, d.Mean, d.U, d.Low, d.High}
	}
	return printJSON(w, out)
}

func printJSON(w io.Writer, v any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(v)
}
