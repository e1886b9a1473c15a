package balance

import (
	"fmt"
	"math"

	"joulewell/energy"
	"joulewell/energy/quantity"
)

// possible refuses states that cannot be, by more than the readings' uncertainty.
func (c *comparer) possible() error {
	states := []*State{&c.Start, &c.End}
	results, err := quantity.Propagate(c.inputs, func(x []float64) ([]float64, error) {
		a := c.Bench.With(x)
		var y []float64
		for i, at := range []int{atStart, atEnd} {
			extension := states[i].extension(&a, x[at], x[quantity.AtRule])
			y = append(y, extension, a.Height(extension))
		}
		return y, nil
	})
	if err != nil {
		return err
	}
	for i, name := range []string{"start", "end"} {
		extension, height := &results[2*i], &results[2*i+1]
		if u, _ := extension.Expanded(); extension.Value < -u {
			return fmt.Errorf("%w: %s: the spring would be %s shorter than its natural length: look at %s, natural length%s",
				energy.ErrImpossible, name, quantity.Length.Both(-extension.Value, u), states[i].place(name).Name, states[i].andSupport())
		}
		if u, _ := height.Expanded(); height.Value < -u {
			return fmt.Errorf("%w: %s: the bob would be %s below the floor: look at %s%s",
				energy.ErrImpossible, name, quantity.Length.Both(-height.Value, u), states[i].place(name).Name, states[i].butHeight())
		}
	}
	return nil
}

// andSupport names what else an extension depends on.
func (s *State) andSupport() string {
	if s.Height.Given() {
		return ", support height and bob length"
	}
	return ""
}

// butHeight names what else a height depends on.
func (s *State) butHeight() string {
	if s.Height.Given() {
		return ""
	}
	return ", support height and bob length"
}

// contradictions finds readings that do not go together: whose difference from what it
// should be exceeds its expanded uncertainty.
func (c *comparer) contradictions() ([]string, error) {
	var found []string
	sentences := []func() (string, error){
		c.hung,
		func() (string, error) { return c.closure("start", &c.Start) },
		func() (string, error) { return c.closure("end", &c.End) },
	}
	for _, of := range sentences {
		s, err := of()
		if err != nil {
			return nil, err
		}
		if s != "" {
			found = append(found, s)
		}
	}
	return found, nil
}

// hung holds the length of the spring hanging by itself against natural length and
// self-stretch.
func (c *comparer) hung() (string, error) {
	if !c.Hung.Given() {
		return "", nil
	}
	inputs := append(c.Bench.Inputs(), quantity.Input{Name: "hung length", Quantity: c.Hung})
	off, u, err := difference(inputs, func(x []float64) float64 {
		a := c.Bench.With(x)
		should := a.Spring.NaturalLength.Value + a.Spring.SelfExtension(a.Gravity.Value)
		return x[quantity.BenchInputs]*x[quantity.AtRule] - should
	})
	if err != nil || math.Abs(off) <= u {
		return "", err
	}
	return fmt.Sprintf("hung length %s does not go with natural length, spring mass, spring rate and initial tension: by these it should be %s %s; one of the five must be off",
		quantity.Length.Text(c.Hung.Value, c.Hung.U), quantity.Length.Both(math.Abs(off), u), side(off, "less", "more")), nil
}

// closure holds height and length of a state against the height of the support.
func (c *comparer) closure(name string, s *State) (string, error) {
	if !s.Height.Given() || !s.Length.Given() {
		return "", nil
	}
	inputs := append(c.Bench.Inputs(),
		quantity.Input{Name: name + " height", Quantity: s.Height}, quantity.Input{Name: name + " length", Quantity: s.Length})
	off, u, err := difference(inputs, func(x []float64) float64 {
		a := c.Bench.With(x)
		read := x[quantity.BenchInputs] + x[quantity.BenchInputs+1]
		return read*x[quantity.AtRule] + a.Bob.Length.Value - a.Support.Value
	})
	if err != nil || math.Abs(off) <= u {
		return "", err
	}
	return fmt.Sprintf("%s height, %s length and bob length together end %s %s the support; one of the four must be off",
		name, name, quantity.Length.Both(math.Abs(off), u), side(off, "above", "below")), nil
}

// difference returns a difference of readings with its expanded uncertainty.
func difference(inputs []quantity.Input, of func(x []float64) float64) (value, u float64, err error) {
	results, err := quantity.Propagate(inputs, func(x []float64) ([]float64, error) { return []float64{of(x)}, nil })
	if err != nil {
		return 0, 0, err
	}
	u, _ = results[0].Expanded()
	return results[0].Value, u, nil
}

func side(off float64, above, below string) string {
	if off > 0 {
		return above
	}
	return below
}
