package table

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"

	"joulewell/daq/trials"
	"joulewell/energy/quantity"
)

// Text writes the table for a person to read.
func Text(w io.Writer, t *Table) error {
	var page strings.Builder
	for i := range t.Groups {
		t.Groups[i].text(&page)
	}
	if len(t.Comparisons) > 0 {
		t.beside(&page)
	}
	if len(t.Notes) > 0 {
		page.WriteString("\n")
	}
	for _, n := range t.Notes {
		wrap(&page, "note: ", n)
	}
	_, err := io.WriteString(w, page.String())
	return err
}

// ClassText writes a class for a person to read.
func ClassText(w io.Writer, c *Class) error {
	var page strings.Builder
	for i := range c.Quantities {
		c.Quantities[i].text(&page)
	}
	page.WriteString("\n")
	for _, n := range c.Notes {
		wrap(&page, "note: ", n)
	}
	_, err := io.WriteString(w, page.String())
	return err
}

func (a *Agreement) text(page *strings.Builder) {
	kind := KindOf(a.Key)
	fmt.Fprintf(page, "\n%s, one trial scatters by %s\n", a.Label, kind.Text(a.Scatter, a.Scatter))
	w := tabwriter.NewWriter(page, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  group\tn\tmean ± U (95 %)\tu by scatter\tu shared\tweight")
	for _, f := range a.Groups {
		fmt.Fprintf(w, "  %s\t%d\t%s\t%s\t%s\t%.2f\n", f.Label, f.N, kind.Both(f.Mean, f.U), kind.Text(f.UOwn, f.UOwn), kind.Text(f.UShared, f.UShared), f.Weight)
	}
	w.Flush()
	if a.Mean == nil {
		return
	}
	wrap(page, "  ", a.Sentence)
	wrap(page, "  ", fmt.Sprintf("u of the mean: %s by what each group has for itself, %s by what all share; chi-squared %.2f with %d to spare, k = %.2f",
		kind.Text(a.Own, a.Own), kind.Text(a.Shared, a.Shared), a.ChiSquared, a.Spare, a.K))
}

// beside writes the comparisons in a table, and in sentences those of losses.
func (t *Table) beside(page *strings.Builder) {
	page.WriteString("\nGroups beside each other (Welch's test; what both share cancels)\n")
	w := tabwriter.NewWriter(page, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  quantity\tof\tless\tis (95 %)\tp\tamong the pairs\tmay be claimed")
	for i := range t.Comparisons {
		c := &t.Comparisons[i]
		claim := "no"
		if c.PAmong < 1-Probability {
			claim = "yes"
		}
		fmt.Fprintf(w, "  %s\t%s\t%s\t%s\t%s\t%s\t%s\n", c.Label, c.A, c.B, KindOf(c.Key).Both(c.Difference, (c.To-c.From)/2), probability(c.P), probability(c.PAmong), claim)
	}
	w.Flush()
	for i := range t.Comparisons {
		if c := &t.Comparisons[i]; c.Key == trials.KeyFirstLoss || c.Key == trials.KeyCycleLoss {
			wrap(page, "", c.Sentence)
		}
	}
}

func (g *Group) text(page *strings.Builder) {
	left := ""
	if g.LeftOut > 0 {
		left = fmt.Sprintf(", %d left out", g.LeftOut)
	}
	fmt.Fprintf(page, "\n%s: %s%s\n", g.Label, quantity.Count(g.Trials, "trial"), left)
	if len(g.Columns) == 0 {
		return
	}
	w := tabwriter.NewWriter(page, 0, 0, 2, ' ', 0)
	fmt.Fprintln(w, "  quantity\tn\tmean ± U (95 %)\tk\tu by scatter\tu shared\tscatter of one\ta trial more\tstands apart")
	for i := range g.Columns {
		c := &g.Columns[i]
		kind := KindOf(c.Key)
		fmt.Fprintf(w, "  %s\t%d\t%s\t%.2f\t%s\t%s\t%s\t%s\t%s\n", c.Label, c.N, kind.Both(c.Mean, c.U), c.K,
			c.fine(c.UMean), kind.Text(c.UShared, c.UShared), c.fine(c.SD), c.trend(), c.apart())
	}
	w.Flush()
}

// fine writes an uncertainty; a dash where it is not known.
func (c *Column) fine(u *float64) string {
	if u == nil {
		return "-"
	}
	return KindOf(c.Key).Text(*u, *u)
}

func (c *Column) trend() string {
	if c.Trend == nil {
		return "-"
	}
	return fmt.Sprintf("%s (p = %s)", KindOf(c.Key).Text(c.Trend.PerTrial, c.Trend.U), probability(c.Trend.P))
}

// apart lists the trials that stand apart, by their numbers among all, from 1.
func (c *Column) apart() string {
	if len(c.Outliers) == 0 {
		return "-"
	}
	var all []string
	for _, at := range c.Outliers {
		all = append(all, "trial "+strconv.Itoa(at+1))
	}
	return strings.Join(all, ", ")
}

// wrap writes a sentence in lines that fit a page.
func wrap(page *strings.Builder, head, sentence string) {
	const most = 95
	line := head
	for _, word := range strings.Fields(sentence) {
		if len(line)+len(word) > most {
			fmt.Fprintln(page, strings.TrimRight(line, " "))
			line = "  "
		}
		line += word + " "
	}
	fmt.Fprintln(page, strings.TrimRight(line, " "))
}
