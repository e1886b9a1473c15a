package plan

import (
	"fmt"
	"math"

	"joulewell/energy/quantity"
)

// leastClearance [m] leaves room for a pad on the floor. Common practice, no source.
const leastClearance = 0.02

// safe recommends a clearance: what holds the lowest point off the floor in 99 of 100
// benches so measured, in whole steps of 5 mm, and never less than a pad is thick.
func (p *drop) safe(support quantity.Result) float64 {
	u, _, err := support.Budget.Expanded(0.99)
	if err != nil {
		panic(err) // the probability is good and the degrees of freedom were checked
	}
	const step = 0.005
	return max(leastClearance, step*math.Ceil(u/step-1e-9))
}

// cautions says what can go wrong with the plan.
func (p *drop) cautions(out *Plan) []string {
	var list []string
	add := func(format string, args ...any) { list = append(list, fmt.Sprintf(format, args...)) }
	length := func(v float64) string { return quantity.Length.Text(v, 0) }
	if p.Clearance < out.Safe {
		add("the bob may strike the floor: the height is known to ± %s only and the clearance is %s; "+
			"plan for %s or more, pad the floor, keep hands, feet and sensors from under the bob",
			quantity.Length.Text(out.Support.Expanded, out.Support.Expanded), length(p.Clearance), length(out.Safe))
	}
	if c := out.Clearance; c != nil && c.Value-c.Expanded < 0 {
		add("with the support where it is now the lowest point comes to %s above the floor: the bob may strike it",
			quantity.Length.Both(c.Value, c.Expanded))
	}
	if most := out.Extension.Value + out.Extension.Expanded; p.SafeExtension > 0 && most > p.SafeExtension {
		add("the spring may be spoiled: its extension reaches %s, safe is %s; take a lighter bob or another spring",
			quantity.Length.Text(most, 0.015), length(p.SafeExtension))
	}
	if most := out.Force.Value + out.Force.Expanded; p.Capacity > 0 && most > p.Capacity {
		add("the load cell may be spoiled: the force reaches %s, its capacity is %s; take a lighter bob or another cell",
			quantity.Force.Text(most, 0.05*most), quantity.Force.Text(p.Capacity, 0))
	}
	return list
}

// notes say what was taken for granted.
func (p *drop) notes() []string {
	notes := p.Bench.Assumptions()
	if p.Ratio.How == quantity.Exact && p.Ratio.Value == 1 {
		notes = append(notes, "nothing is taken to be lost on the way down: a real bob turns a little higher")
	}
	if !p.Release.Given() {
		notes = append(notes, "the bob is let go at rest where its hook just touches the hanging spring")
	}
	return notes
}
