package table

import (
	"fmt"
	"math"
	"slices"

	"joulewell/calib/fit"
)

// compare puts each group beside each later one, quantity by quantity.
func (t *Table) compare(sets []*set) {
	for i, q := range quantities {
		from := len(t.Comparisons)
		for a, first := range sets {
			for _, second := range sets[a+1:] {
				if c, ok := between(q, first, second, i); ok {
					t.Comparisons = append(t.Comparisons, c)
				}
			}
		}
		family := t.Comparisons[from:]
		p := make([]float64, len(family))
		for k := range family {
			p[k] = family[k].P
		}
		for k, among := range fit.Holm(p) {
			family[k].PAmong = among
			family[k].Sentence = sentence(q, &family[k], len(family))
		}
	}
	if slices.ContainsFunc(t.Comparisons, func(c Comparison) bool { return c.P < 1-Probability && c.PAmong >= 1-Probability }) {
		t.note("of many comparisons one in twenty shows a difference by chance: p_among allows for that (Holm), within each quantity")
	}
}

// between compares a quantity of two groups, where each has it twice or more.
func between(q measured, a, b *set, i int) (Comparison, bool) {
	first, err := fit.Repeat(a.samples[i].values)
	if err != nil {
		return Comparison{}, false
	}
	second, err := fit.Repeat(b.samples[i].values)
	if err != nil {
		return Comparison{}, false
	}
	shared := apart(a.samples[i].shared, b.samples[i].shared)
	w, err := fit.WelchShared(first, second, shared)
	if err != nil {
		return Comparison{}, false // all alike: nothing is known of their scatter
	}
	c := Comparison{
		Key: q.key, Label: q.label, Unit: q.kind.Unit(), A: a.label, B: b.label, Difference: w.Difference,
		UScatter: math.Hypot(first.U, second.U), UShared: shared, U: w.U, T: w.T, P: w.P,
	}
	if c.From, c.To, err = w.Interval(Probability); err != nil {
		return Comparison{}, false
	}
	if !math.IsInf(w.DoF, 0) {
		c.DoF = &w.DoF
	}
	return c, true
}

// sentence says what may be claimed of a difference, seen that so many were looked at.
func sentence(q measured, c *Comparison, among int) string {
	half := (c.To - c.From) / 2
	found := fmt.Sprintf("%s: %s less %s is %s (95 %%)", q.label, c.A, c.B, q.kind.Both(c.Difference, half))
	more := "more"
	if c.Difference < 0 {
		more = "less"
	}
	switch {
	case c.PAmong < 1-Probability:
		return fmt.Sprintf("%s, p = %s: %s has %s; that may be claimed", found, probability(c.PAmong), c.A, more)
	case c.P < 1-Probability:
		return fmt.Sprintf("%s, p = %s, but %d pairs were compared, and one of so many shows as much by chance with p = %s: no difference may be claimed",
			found, probability(c.P), among, probability(c.PAmong))
	}
	return fmt.Sprintf("%s, p = %s: no difference may be claimed, nor that there is none: one of up to %s would not be seen",
		found, probability(c.P), q.kind.Text(max(math.Abs(c.From), math.Abs(c.To)), half))
}
