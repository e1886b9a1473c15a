package paper

import (
	"cmp"
	"fmt"

	"joulewell/daq/setup"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// apparatus is the table of what hung where.
func apparatus(b *setup.Bench) table {
	a := &b.Apparatus
	t := table{Caption: "What hung where; ± is the expanded uncertainty, k = 2", Head: []column{{"quantity", false}, {"value", true}}}
	for _, q := range []struct {
		name string
		kind quantity.Kind
		e    energy.Estimate
	}{
		{"mass of the bob" + called(b.BobLabel), quantity.Mass, a.Bob.Mass},
		{"length of the bob, from its hook to its lowest point", quantity.Length, a.Bob.Length},
		{"mass of the spring" + called(b.SpringLabel), quantity.Mass, a.Spring.Mass},
		{"natural length of the spring", quantity.Length, a.Spring.NaturalLength},
		{"rate of the spring", quantity.Rate, a.Spring.Rate},
		{"initial tension of the spring", quantity.Force, a.Spring.InitialTension},
		{"height of the support above the floor", quantity.Length, a.Support},
		{"acceleration of free fall", quantity.Acceleration, a.Gravity},
	} {
		t.Rows = append(t.Rows, []string{q.name, measured(q.kind, q.e)})
	}
	if r := a.Spring.RateTension; r != 0 {
		t.Rows = append(t.Rows, []string{"correlation of rate and initial tension", fmt.Sprintf("%.2f", r)})
	}
	if a.Spring.Departure != nil {
		t.Rows = append(t.Rows, []string{"force of the spring", "departs from the straight law by a measured curve"})
	}
	safe := "not stated"
	if x := a.Spring.SafeExtension; x > 0 {
		safe = quantity.Length.Text(x, 0)
	}
	t.Rows = append(t.Rows, []string{"extension past which the spring may be spoiled", safe})
	return t
}

// called puts a label behind a name.
func called(label string) string {
	if label == "" {
		return ""
	}
	return " (" + label + ")"
}

// hung names bob and spring.
func hung(b *setup.Bench) string {
	return cmp.Or(b.BobLabel, "a bob") + " on " + cmp.Or(b.SpringLabel, "a spring")
}
