package balance

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// trial is a bench that somebody might have, its true loss, and what they read.
type trial struct {
	readings Readings
	loss     float64 // [J] the truth
}

// person reads true values by hand, each in a way of their own, and writes them down.
type person struct {
	*rand.Rand
	t *testing.T
}

// reads writes down a true value [SI] with a unit of 10^-places of the SI unit, read to
// a step of so many of them, and reads the writing back.
func (p person) reads(kind quantity.Kind, truth float64, unit string, perUnit, step float64) quantity.Quantity {
	p.t.Helper()
	v := truth / perUnit
	var text string
	switch p.IntN(3) {
	case 0: // to the last digit
		decimals := max(0, int(math.Round(-math.Log10(step))))
		text = fmt.Sprintf("%.*f%s", decimals, v, unit)
	case 1: // to a division
		division := step * []float64{1, 2, 5}[p.IntN(3)]
		text = fmt.Sprintf("%.9g %s read to %.9g %s", math.Round(v/division)*division, unit, division, unit)
	case 2: // with a scatter known beforehand, or from a few repeats
		sigma := step * (0.2 + 0.6*p.Float64())
		if p.IntN(2) == 0 {
			text = fmt.Sprintf("%.9g %s +- %.9g %s", v+sigma*p.NormFloat64(), unit, sigma, unit)
			break
		}
		n := 4 + p.IntN(6)
		var sum, squares float64
		for range n {
			x := 2 * sigma * p.NormFloat64()
			sum += x
			squares += x * x
		}
		mean := sum / float64(n)
		u := math.Sqrt((squares - sum*mean) / float64(n-1) / float64(n))
		text = fmt.Sprintf("%.9g +- %.9g %s dof=%d", v+mean, u, unit, n-1)
	}
	q, err := quantity.Parse(text, kind)
	if err != nil {
		p.t.Fatal(err)
	}
	return q
}

func (p person) between(low, high float64) float64 { return low + (high-low)*p.Float64() }

// newTrial makes a bench that can exist, lets energy go missing, and reads it.
func newTrial(t *testing.T, seed uint64) trial {
	t.Helper()
	p := person{rand.New(rand.NewPCG(seed, 18)), t}
	g := p.between(9.7803, 9.8322)
	a := energy.Apparatus{Gravity: energy.Estimate{Value: g}}
	a.Bob.Mass.Value = p.between(0.05, 0.6)
	a.Bob.Length.Value = p.between(0.03, 0.15)
	a.Spring.Mass.Value = a.Bob.Mass.Value * p.between(0.02, 0.4)
	a.Spring.NaturalLength.Value = p.between(0.06, 0.3)
	stretch := p.between(0.05, 0.3)
	if p.IntN(2) == 0 {
		a.Spring.InitialTension.Value = p.between(0.02, 0.4) * a.Bob.Mass.Value * g
	}
	a.Spring.Rate.Value = (a.Bob.Mass.Value*g - a.Spring.InitialTension.Value) / stretch
	rest := a.Equilibrium()
	from := p.between(a.Spring.SelfExtension(g), rest/2)
	ratio := a.Spring.Mass.Value / a.Bob.Mass.Value
	to, speed := rest+(rest-from)*p.between(0.9, 1), 0.0
	if p.IntN(3) == 0 { // caught by a light gate on its way
		to = rest + (to-rest)*p.between(-0.5, 0.5)
		speed = (rest - from) * math.Sqrt(a.Spring.Rate.Value/(a.Bob.Mass.Value*(1+ratio/3))) * p.between(0.5, 1)
	}
	a.Support.Value = a.Spring.NaturalLength.Value + 2*rest + a.Bob.Length.Value + p.between(0.02, 0.5)

	m, err := energy.NewModel(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	at := func(x, v float64) float64 {
		return m.At(energy.State{Height: energy.Estimate{Value: a.Height(x)}, Velocity: energy.Estimate{Value: v}}).Total.Value
	}
	where, sign := loss.LaterTurn, 0.0
	if speed != 0 {
		where, sign = loss.Anywhere, -1
	}
	share, err := loss.CoilWave(ratio, where)
	if err != nil {
		t.Fatal(err)
	}
	amplitude := max(rest-from, math.Hypot(to-rest, speed*math.Sqrt(a.Bob.Mass.Value*(1+ratio/3)/a.Spring.Rate.Value)))
	hidden := share * loss.Exchanged(ratio, a.Spring.Rate.Value, amplitude) * p.between(sign, 1)
	return trial{p.read(&a, from, to, speed), at(from, 0) - at(to, speed) - hidden}
}

func (p person) read(a *energy.Apparatus, from, to, speed float64) Readings {
	p.t.Helper()
	rule := 1.0
	var r Readings
	b := &r.Bench
	if p.IntN(2) == 0 {
		rule += 1e-3 * p.NormFloat64()
		b.Rule, _ = quantity.Parse("1 +- 0.1%", quantity.Ratio)
	}
	step := []float64{0.05, 0.1, 0.5}[p.IntN(3)] // [cm]
	length := func(v float64) quantity.Quantity { return p.reads(quantity.Length, v/rule, "cm", 0.01, step) }
	b.BobMass = p.reads(quantity.Mass, a.Bob.Mass.Value, "g", 1e-3, 0.1)
	b.BobLength = length(a.Bob.Length.Value)
	b.SpringMass = p.reads(quantity.Mass, a.Spring.Mass.Value, "g", 1e-3, 0.1)
	b.NaturalLength = length(a.Spring.NaturalLength.Value)
	b.Rate = p.reads(quantity.Rate, a.Spring.Rate.Value, "N/m", 1, a.Spring.Rate.Value*p.between(0.001, 0.01))
	if f := a.Spring.InitialTension.Value; f > 0 {
		b.InitialTension = p.reads(quantity.Force, f, "N", 1, 0.1*f)
	}
	if p.IntN(2) == 0 {
		b.Gravity = p.reads(quantity.Acceleration, a.Gravity.Value, "m/s2", 1, 0.001)
	}
	b.Support = length(a.Support.Value)
	for _, s := range []struct {
		*State
		x float64
	}{{&r.Start, from}, {&r.End, to}} {
		which := p.IntN(4)
		if which > 0 {
			s.Height = length(a.Height(s.x))
		}
		if which != 1 {
			s.Length = length(a.Spring.NaturalLength.Value + s.x)
		}
	}
	r.Hung = length(a.Spring.NaturalLength.Value + a.Spring.SelfExtension(a.Gravity.Value))
	if speed != 0 {
		r.End.Speed = p.reads(quantity.Speed, speed, "m/s", 1, 0.02)
	}
	return r
}
