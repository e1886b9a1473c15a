package balance

import (
	"fmt"
	"math"

	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// State is one state of the bob, by the height of its lowest point or the length of
// the spring. With both, the height counts and the length is held against it.
type State struct {
	Height quantity.Quantity // [m] of the bob's lowest point above the floor
	Length quantity.Quantity // [m] of the spring
	Speed  quantity.Quantity // [m/s] not given = at rest
}

// Readings are all that a comparison starts from.
type Readings struct {
	Bench    quantity.Bench
	Hung     quantity.Quantity // [m] length of the spring hanging by itself; need not be given
	Swinging bool              // the start is a turning point of a swing under way, not a release
	Start    State
	End      State
}

// Places of what the inputs hold beyond the bench.
const (
	atStart = quantity.BenchInputs + iota
	atStartSpeed
	atStartWaves
	atEnd
	atEndSpeed
	atEndWaves
	inputCount
)

// comparer is Readings made ready.
type comparer struct {
	Readings
	inputs    []quantity.Input
	exchanged float64 // [J] elastic energy that a swing through the wider state exchanges
}

// ready fills in, checks, and lists the inputs.
func ready(r Readings) (*comparer, error) {
	r.Bench.Fill()
	for _, s := range []*State{&r.Start, &r.End} {
		if !s.Speed.Given() {
			s.Speed = quantity.Chosen(quantity.Speed, 0)
		}
	}
	if !r.Bench.Support.Given() {
		return nil, quantity.MissingError{Name: "support height"}
	}
	if err := r.Bench.Check(); err != nil {
		return nil, err
	}
	for _, s := range []struct {
		name string
		*State
	}{{"start", &r.Start}, {"end", &r.End}} {
		if err := s.check(s.name); err != nil {
			return nil, err
		}
	}
	c := &comparer{Readings: r, inputs: make([]quantity.Input, inputCount)}
	copy(c.inputs, r.Bench.Inputs())
	c.inputs[atStart] = r.Start.place("start")
	c.inputs[atStartSpeed] = quantity.Input{Name: "start speed", Quantity: r.Start.Speed}
	c.inputs[atEnd] = r.End.place("end")
	c.inputs[atEndSpeed] = quantity.Input{Name: "end speed", Quantity: r.End.Speed}
	return c, c.waves()
}

func (s *State) check(name string) error {
	if !s.Height.Given() && !s.Length.Given() {
		return fmt.Errorf("%s: neither height nor length is given: give %s height or %s length", name, name, name)
	}
	for _, q := range []struct {
		name string
		quantity.Quantity
		most float64 // [SI]
	}{{"height", s.Height, 100}, {"length", s.Length, 100}, {"speed", s.Speed, 1000}} {
		if q.Given() && q.U == 0 && !(q.name == "speed" && q.How == quantity.Exact) {
			return fmt.Errorf("uncertainty of %s %s is zero: no reading is exact, state it or leave it to the last digit", name, q.name)
		}
		if !(math.Abs(q.Value)+q.U <= q.most) {
			return fmt.Errorf("%s %s = %s: more than %g, is the unit right?", name, q.name, q.Kind.Text(q.Value, q.U), q.most)
		}
	}
	return nil
}

// place is where the bob is, as an input.
func (s *State) place(name string) quantity.Input {
	if s.Height.Given() {
		return quantity.Input{Name: name + " height", Quantity: s.Height}
	}
	return quantity.Input{Name: name + " length", Quantity: s.Length}
}

// extension returns the spring's extension [m] in a state with a place [m] as read.
func (s *State) extension(a *energy.Apparatus, place, rule float64) float64 {
	if s.Height.Given() {
		return a.Extension(place * rule)
	}
	return place*rule - a.Spring.NaturalLength.Value
}

// resting reports whether the bob turns or is held in this state.
func (s *State) resting() bool { return s.Speed.How == quantity.Exact && s.Speed.Value == 0 }

// waves adds what coils may hide in either state, from the ratio of the masses: between
// nothing and a bound where the bob turns, up to a bound to either side where it moves,
// and nothing at a release.
func (c *comparer) waves() error {
	x := make([]float64, inputCount)
	for i, in := range c.inputs {
		x[i] = in.Value
	}
	a := c.Bench.With(x)
	ratio := a.Spring.Mass.Value / a.Bob.Mass.Value
	moving := a.Bob.Mass.Value + a.Spring.Mass.Value/3
	var amplitude float64
	for _, s := range []struct {
		*State
		at int
	}{{&c.Start, atStart}, {&c.End, atEnd}} {
		off := s.extension(&a, x[s.at], x[quantity.AtRule]) - a.Equilibrium()
		amplitude = max(amplitude, math.Sqrt(off*off+moving*s.Speed.Value*s.Speed.Value/a.Spring.Rate.Value))
	}
	pull := (a.Bob.Mass.Value + a.Spring.Mass.Value/2) * a.Gravity.Value
	c.exchanged = 2 * pull * amplitude
	swing := loss.Exchanged(ratio, a.Spring.Rate.Value, amplitude)
	for _, s := range []struct {
		*State
		name    string
		at      int
		release bool
	}{{&c.Start, "coil waves at the start", atStartWaves, !c.Swinging}, {&c.End, "coil waves at the end", atEndWaves, false}} {
		where := loss.LaterTurn // whose bound covers the first turn as well
		switch {
		case s.resting() && s.release:
			where = loss.AtRelease
		case !s.resting():
			where = loss.Anywhere
		}
		share, err := loss.CoilWave(ratio, where)
		if err != nil {
			return fmt.Errorf("%w: %w", energy.ErrImpossible, err)
		}
		low := 0.0
		if where == loss.Anywhere {
			low = -share * swing
		}
		c.inputs[s.at] = quantity.Input{Name: s.name, Quantity: quantity.Between(quantity.Energy, low, share*swing)}
	}
	return nil
}
