package main

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"joulewell/energy/plan"
	"joulewell/energy/quantity"
)

func planCommand() *cobra.Command {
	var h hand
	var d plan.Drop
	var clearance, safe, capacity quantity.Quantity
	c := &cobra.Command{
		Use:   "plan",
		Short: "say how high to fix the support, so that the bob comes down just so far",
		Long: "plan works out at what height to hold the spring, so that a bob let go at rest turns at\n" +
			"the clearance you want above the floor, and what else to expect: period, largest speed,\n" +
			"force and extension. After a trial, give the clearance that was seen and it says how far\n" +
			"to move the support. Readings are written as for joulewell balance.\n\n" +
			"A bob that strikes the floor breaks toes and sensors: pad the floor, keep clear, begin\n" +
			"with more clearance than wanted, and follow your institution's rules.",
		Example: "  joulewell plan --bob-mass 250.1g --bob-length 6.2cm --spring-mass 9.8g \\\n" +
			"    --natural-length 11.8cm --spring-rate \"24.6N/m +- 0.1N/m\" \\\n" +
			"    --latitude 53.4deg --altitude 30m --clearance 5cm\n" +
			"  joulewell plan --config bench.toml --clearance 5cm --clearance-seen \"31mm +- 3mm\"",
		Args: arguments(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			if err := h.gather(c, &d.Bench); err != nil {
				return err
			}
			if h.apparatus != nil {
				d.SafeExtension = h.apparatus.Bench.Apparatus.Spring.SafeExtension
				d.Capacity = h.apparatus.Bench.Calibration.Force.Max
			}
			for _, limit := range []struct {
				to   *float64
				from quantity.Quantity
			}{{&d.Clearance, clearance}, {&d.SafeExtension, safe}, {&d.Capacity, capacity}} {
				if limit.from.Given() {
					*limit.to = limit.from.Value
				}
			}
			p, err := plan.Make(d)
			if err == nil && !clearance.Given() {
				d.Clearance = p.Safe
				p, err = plan.Make(d)
			}
			if err != nil {
				return refused(err)
			}
			if h.json {
				return planJSON(c.OutOrStdout(), p)
			}
			planText(c.OutOrStdout(), p, d.Clearance, clearance.Given())
			return nil
		},
	}
	h.take(append(d.Bench.Fields(),
		quantity.Field{Name: "release", Kind: quantity.Length, To: &d.Release, Help: "extension of the spring as the bob is let go\n(left out: its hook just touches the hanging spring)"},
		quantity.Field{Name: "clearance", Kind: quantity.Length, To: &clearance, Help: "wanted between the floor and the bob's lowest point\n(left out: the least that is recommended)"},
		quantity.Field{Name: "amplitude-ratio", Kind: quantity.Ratio, To: &d.Ratio, Help: "amplitude after half a cycle over that before (1, nothing is lost)"},
		quantity.Field{Name: "clearance-seen", Kind: quantity.Length, To: &d.Trial, Help: "in a trial, with the support where it is now"},
		quantity.Field{Name: "safe-extension", Kind: quantity.Length, To: &safe, Help: "that the spring bears"},
		quantity.Field{Name: "capacity", Kind: quantity.Force, To: &capacity, Help: "of the load cell at the support"},
	))
	h.add(c)
	return c
}

// planText prints a plan for a person, what to do first and what may go wrong next.
func planText(w io.Writer, p *plan.Plan, clearance float64, wanted bool) {
	m := p.Move
	if m != nil && m.Contradicted() {
		fmt.Fprintf(w, "CONTRADICTION: %s\nDo not move the support before that is found; what follows is by the readings alone.\n\n", m.Agreement())
	}
	height := quantity.Length.Both(p.Support.Value, p.Support.Expanded)
	where := "at the floor"
	if clearance > 0 {
		where = quantity.Length.Text(clearance, 0) + " above the floor"
	}
	fmt.Fprintf(w, "support height %s (95 %%, k = %.2f) for a lowest point %s\n", height, p.Support.Coverage, where)
	if !wanted {
		fmt.Fprintln(w, "  (no clearance was asked for: this is the least that is recommended, so that the bob\n"+
			"  stays off the floor and its pad in 99 of 100 benches so measured)")
	}
	if m != nil && !m.Contradicted() {
		from := "by the readings of the bench"
		if m.FromTrial {
			from = "by the trial"
		}
		fmt.Fprintf(w, "%s (%s)\n", m, from)
		if s := m.Agreement(); s != "" {
			fmt.Fprintln(w, s)
		}
	}
	for _, s := range p.Cautions {
		fmt.Fprintf(w, "CAUTION: %s\n", s)
	}
	fmt.Fprintf(w, "\nwhat to expect (95 %%)\n")
	for _, row := range planRows(p) {
		fmt.Fprintf(w, "  %-36s %s\n", row.text, row.kind.Both(row.Value, row.Expanded))
	}
	fmt.Fprintln(w)
	budgetTable(w, quantity.Length, p.Support.Result, p.Inputs)
	fmt.Fprintf(w, "\n- recommended clearance: %s or more\n", quantity.Length.Text(p.Safe, 0))
	for _, n := range p.Notes {
		fmt.Fprintf(w, "- %s\n", n)
	}
	fmt.Fprintln(w, "- springs under tension and falling masses can hurt: begin with more clearance than wanted,\n"+
		"  keep clear, pad the floor; the rules of your institution decide")
}

// planRow is a forecast under its name for a person and for a program.
type planRow struct {
	text, key string
	kind      quantity.Kind
	plan.Forecast
}

func planRows(p *plan.Plan) []planRow {
	rows := []planRow{
		{"bob let go with its lowest point at", "start_height_m", quantity.Length, p.Start},
		{"fall to the lowest point", "fall_m", quantity.Length, p.Fall},
		{"largest extension of the spring", "largest_extension_m", quantity.Length, p.Extension},
		{"period, mean of many swings", "period_s", quantity.Time, p.Period},
		{"largest speed", "largest_speed_m_s", quantity.Speed, p.Speed},
		{"largest force at the support", "largest_force_N", quantity.Force, p.Force},
	}
	if p.Clearance != nil {
		rows = append(rows, planRow{"clearance with the support as it is", "clearance_m", quantity.Length, *p.Clearance})
	}
	return rows
}

// planJSON prints a plan for a program.
func planJSON(w io.Writer, p *plan.Plan) error {
	out := map[string]any{
		"support_height_m":        p.Support.Figure(),
		"recommended_clearance_m": p.Safe,
		"budget":                  p.Support.Shares(quantity.Length, p.Inputs),
		"cautions":                append([]string{}, p.Cautions...),
		"notes":                   append([]string{}, p.Notes...),
	}
	for _, row := range planRows(p) {
		out[row.key] = row.Forecast.Figure()
	}
	if m := p.Move; m != nil && m.Contradicted() {
		out["contradiction"], out["trial_less_plan_m"] = m.Agreement(), m.Off.Figure()
	} else if m != nil {
		out["raise_m"], out["raise_from_trial"] = m.Raise.Figure(), m.FromTrial
		if m.Ratio != nil {
			out["amplitude_ratio_seen"], out["trial_less_plan_m"] = m.Ratio.Figure(), m.Off.Figure()
		}
	}
	return printJSON(w, out)
}
