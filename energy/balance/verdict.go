package balance

import (
	"fmt"
	"strings"

	"joulewell/energy/quantity"
)

// interval returns the 95 % interval of the loss [J] by the method asked for, and how
// it was got.
func (c *Comparison) interval() (low, high float64, how string) {
	if d := c.Drawn; d != nil {
		return d.Low, d.High, "95 % by Monte Carlo"
	}
	return c.Loss.Value - c.Expanded, c.Loss.Value + c.Expanded, fmt.Sprintf("95 %%, k = %.2f", c.Coverage)
}

// verdict says in a sentence whether energy was lost.
func (c *Comparison) verdict() string {
	low, high, how := c.interval()
	middle, half := (low+high)/2, (high-low)/2
	of := quantity.Energy.Text(c.Exchanged, 0.05*c.Exchanged)
	switch {
	case low > 0:
		return fmt.Sprintf("lost %s (%s) of %s exchanged", quantity.Energy.Both(middle, half), how, of)
	case high < 0:
		return fmt.Sprintf("more energy at the end than at the start by %s (%s): one of the readings must be off",
			quantity.Energy.Both(-middle, half), how)
	}
	return fmt.Sprintf("no loss seen above %s: the difference is %s (%s) of %s exchanged",
		quantity.Energy.Text(half, half), quantity.Energy.Both(middle, half), how, of)
}

// advice says which reading to better first, and what that would bring.
func (c *Comparison) advice() string {
	largest := c.Loss.Budget.Inputs[0]
	would := fmt.Sprintf("with half its uncertainty ± %s would become ± %s",
		quantity.Energy.Text(c.Expanded, c.Expanded), quantity.Energy.Text(c.Loss.Halved(largest.Name), c.Expanded))
	for _, in := range c.Inputs {
		switch {
		case in.Name != largest.Name:
		case in.How == quantity.Bound:
			return "the largest doubt is what waves in the coils may hide: no reading betters that, a lighter spring or a heavier bob would; " + would
		case in.How == quantity.Convention:
			return "find out gravity at this place, latitude and altitude will do: " + would
		}
	}
	return fmt.Sprintf("measure %s better first: %s", largest.Name, would)
}

// notes say what was taken for granted.
func (c *comparer) notes() []string {
	notes := []string{"heights count from the floor, extension from the spring's natural length"}
	notes = append(notes, c.Bench.Assumptions()...)
	var rest []string
	for _, s := range []struct {
		name string
		*State
	}{{"start", &c.Start}, {"end", &c.End}} {
		if s.resting() {
			rest = append(rest, s.name)
		}
	}
	if len(rest) > 0 {
		notes = append(notes, "the bob is taken to be at rest at the "+strings.Join(rest, " and at the "))
	}
	return notes
}
