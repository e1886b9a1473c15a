package main

import (
	"fmt"
	"io"
	"slices"

	"joulewell/energy/quantity"
)

// budgetTable prints where the uncertainty of a result of a kind comes from, but for
// what is too small to matter.
func budgetTable(w io.Writer, kind quantity.Kind, r quantity.Result, inputs []quantity.Input) {
	const least = 0.001 // of the variance
	expanded, _ := r.Expanded()
	fmt.Fprintf(w, "where the ± %s comes from\n", kind.Text(expanded, expanded))
	fmt.Fprintf(w, "  %-22s %14s %12s  %-10s %12s %6s\n", "", "value", "u", "known by", "gives", "share")
	left := 0
	for _, c := range r.Budget.Inputs {
		i := slices.IndexFunc(inputs, func(in quantity.Input) bool { return in.Name == c.Name })
		in := inputs[i]
		if c.Share < least {
			left++
			continue
		}
		fmt.Fprintf(w, "  %-22s %14s %12s  %-10s %12s %4.0f %%\n", c.Name, in.Kind.Text(in.Value, in.U), in.Kind.Text(in.U, in.U),
			in.How, kind.Text(abs(c.Contribution), r.U), 100*c.Share)
	}
	if left > 0 {
		fmt.Fprintf(w, "  and %d more with less than 0.1 %%\n", left)
	}
}

func abs(v float64) float64 { return max(v, -v) }
