package energy

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

func known(v float64) Estimate { return Estimate{Value: v} }

// example is a heavy spring under a light bob, at standard gravity (exactly
// 9.80665 m/s2 by resolution 2 of the third CGPM, 1901).
func example() Apparatus {
	return Apparatus{
		Spring:  Spring{Mass: known(0.06), NaturalLength: known(0.15), Rate: known(25)},
		Bob:     Bob{Mass: known(0.25), Length: known(0.06)},
		Support: known(1.2),
		Gravity: known(9.80665),
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.15g, want %.15g within %.2g", what, got, want, tol)
	}
}

// Static extensions of a uniform hanging spring. Values: own derivation, recomputed
// in exact rational arithmetic outside this project; the case without initial
// tension and without load is w/(2k), common practice.
func TestStaticExtension(t *testing.T) {
	for _, c := range []struct {
		name                string
		load, tension, want float64
	}{
		{"hung alone", 0, 0, 0.01176798},
		{"hung alone, upper coils open", 0, 0.2, 0.005127601617303904},
		{"hung alone, few coils open", 0, 0.5, 0.000265615108149402},
		{"hung alone, none open", 0, 0.7, 0},
		{"light load, upper coils open", 0.1, 0.3, 0.005127601617303904},
		{"loaded, all open", 0.5, 0.3, 0.01976798},
		{"loaded, no initial tension", 0.25 * 9.80665, 0, 0.10983448},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := example()
			a.Spring.InitialTension = known(c.tension)
			a.Bob.Mass = known(c.load / a.Gravity.Value)
			near(t, "equilibrium", a.Equilibrium(), c.want, 1e-15)
			if c.load == 0 {
				near(t, "self extension", a.Spring.SelfExtension(a.Gravity.Value), c.want, 1e-15)
			}
		})
	}
}

// The static equilibrium must be the lowest place of the well, whichever coils are
// open: an independent check of elastic and gravitational energy together.
func TestEquilibriumIsBottomOfWell(t *testing.T) {
	for _, tension := range []float64{0, 0.2, 2.5, 2.9} {
		a := example()
		a.Spring.InitialTension = known(tension)
		m, err := NewModel(a, 0)
		if err != nil {
			t.Fatal(err)
		}
		x := a.Equilibrium()
		const d = 1e-5
		at := func(x float64) float64 { return m.Potential(a.Height(x)) }
		slope := (at(x+d) - at(x-d)) / (2 * d)
		near(t, "slope of the well at equilibrium", slope, 0, 2e-5)
		if !(at(x+d) > at(x) && at(x-d) > at(x)) {
			t.Errorf("initial tension %g N: potential at equilibrium is not lowest", tension)
		}
	}
}

// Elastic and gravitational energy of a partly open spring against a sum over many
// coils, each in its own equilibrium.
func TestPartlyOpenSpringAgainstCoils(t *testing.T) {
	a := example()
	a.Spring.InitialTension = known(0.3)
	a.Bob.Mass = known(1e-12)
	m, err := NewModel(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	const coils = 200000
	w, k, f0 := 0.06*9.80665, 25.0, 0.3
	sums := func(load float64) (x, elastic, gravitational float64) {
		length := 0.0
		for i := range coils {
			tension := load + w*(1-(float64(i)+0.5)/coils)
			stretch := max(tension-f0, 0) / k / coils
			x += stretch
			elastic += f0*stretch + coils*k*stretch*stretch/2
			length += stretch + 0.15/coils
			gravitational += w / coils * (1.2 - length + (stretch+0.15/coils)/2)
		}
		return
	}
	constant := w * w / (24 * k) // left out of the elastic energy on purpose
	for _, load := range []float64{0, 0.05, 0.2, 0.3, 0.8} {
		x, elastic, gravitational := sums(load)
		e := m.At(State{Height: known(a.Height(x)), Velocity: known(0)})
		near(t, "elastic", e.Elastic.Value, elastic-constant, 1e-9)
		near(t, "gravitational", e.Gravitational.Value, gravitational+w*w/(12*k), 1e-8)
	}
}

// The well and the four energies scale as mass * length^2 / time^2, so no number
// with a unit can hide in the formulas.
func TestEnergyScalesWithItsDimensions(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for range 200 {
		a := example()
		a.Spring.InitialTension = known(rng.Float64() * 0.6)
		s := State{Height: known(rng.Float64() * 0.98), Velocity: Estimate{rng.NormFloat64(), 0.1}, Bias: 0.01}
		length, mass, time := 1+rng.Float64(), 1+rng.Float64(), 1+rng.Float64()
		b, r := a, s
		force := mass * length / (time * time)
		for _, q := range []struct {
			e *Estimate
			f float64
		}{
			{&b.Spring.Mass, mass}, {&b.Bob.Mass, mass}, {&b.Spring.NaturalLength, length},
			{&b.Bob.Length, length}, {&b.Support, length}, {&b.Spring.Rate, force / length},
			{&b.Spring.InitialTension, force}, {&b.Gravity, length / (time * time)},
			{&r.Height, length}, {&r.Velocity, length / time},
		} {
			q.e.Value *= q.f
			q.e.U *= q.f
		}
		r.Bias *= length * length / (time * time)
		m, err := NewModel(a, 0)
		if err != nil {
			t.Fatal(err)
		}
		n := *m // the scaled place has no real gravity: build it past Check
		n.apparatus = b
		for i, e := range [inputCount]Estimate{inBobMass: b.Bob.Mass, inSpringMass: b.Spring.Mass, inRate: b.Spring.Rate,
			inTension: b.Spring.InitialTension, inGravity: b.Gravity, inSupport: b.Support, inBobLength: b.Bob.Length, inNatural: b.Spring.NaturalLength} {
			n.value[i] = e.Value
		}
		n.spring = n.springOf(&n.value)
		n.open = n.spring.openAt()
		scale := force * length
		e, f := m.At(s), n.At(r)
		near(t, "kinetic", f.Kinetic.Value, e.Kinetic.Value*scale, 1e-10*scale)
		near(t, "elastic", f.Elastic.Value, e.Elastic.Value*scale, 1e-10*scale)
		near(t, "gravitational", f.Gravitational.Value, e.Gravitational.Value*scale, 1e-10*scale)
	}
}

// Standard uncertainties against a plain Monte Carlo of the same inputs (JCGM 101).
func TestUncertaintyAgainstMonteCarlo(t *testing.T) {
	a := example()
	a.Spring.Mass.U, a.Bob.Mass.U, a.Spring.NaturalLength.U = 2e-4, 1e-4, 5e-4
	a.Spring.Rate.U, a.Spring.InitialTension = 0.1, Estimate{0.1, 0.005}
	a.Bob.Length.U, a.Support.U, a.Gravity.U = 3e-4, 6e-4, 5e-4
	a.Spring.RateTension = -0.9 // as a straight line through loads gives them
	s := State{Height: Estimate{0.7, 1e-3}, Velocity: Estimate{-0.8, 0.03}, Bias: 0.03 * 0.03}
	m, err := NewModel(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	want := m.At(s)
	rng := rand.New(rand.NewPCG(3, 4))
	draw := func(e Estimate) Estimate { return Estimate{Value: e.Value + e.U*rng.NormFloat64()} }
	const trials = 40000
	var sum, square [4]float64
	for range trials {
		b := a
		b.Spring.Mass, b.Bob.Mass, b.Spring.NaturalLength = draw(a.Spring.Mass), draw(a.Bob.Mass), draw(a.Spring.NaturalLength)
		rate, rest := rng.NormFloat64(), rng.NormFloat64()
		b.Spring.Rate.Value += a.Spring.Rate.U * rate
		b.Spring.InitialTension.Value += a.Spring.InitialTension.U * (-0.9*rate + math.Sqrt(1-0.9*0.9)*rest)
		b.Bob.Length, b.Support, b.Gravity = draw(a.Bob.Length), draw(a.Support), draw(a.Gravity)
		n, err := NewModel(b, 0)
		if err != nil {
			t.Fatal(err)
		}
		e := n.At(State{draw(s.Height), draw(s.Velocity), s.Bias})
		for i, v := range []float64{e.Kinetic.Value, e.Elastic.Value, e.Gravitational.Value, e.Total.Value} {
			sum[i] += v
			square[i] += v * v
		}
	}
	for i, c := range []struct {
		name string
		u    float64
	}{{"kinetic", want.Kinetic.U}, {"elastic", want.Elastic.U}, {"gravitational", want.Gravitational.U}, {"total", want.Total.U}} {
		mean := sum[i] / trials
		sd := math.Sqrt(square[i]/trials - mean*mean)
		near(t, "u of "+c.name, c.u, sd, 0.02*sd) // sd of 40000 draws is itself good to 0.4 %
	}
}

// The noise of the velocity must not raise the kinetic energy on average.
func TestKineticEnergyIsUnbiased(t *testing.T) {
	m, err := NewModel(example(), 0)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(5, 6))
	const v, u, n = 0.3, 0.2, 20000
	var sum float64
	for range n {
		sum += m.At(State{known(0.7), Estimate{v + u*rng.NormFloat64(), u}, u * u}).Kinetic.Value
	}
	moving := 0.25 + 0.06/3
	near(t, "mean kinetic energy", sum/n, moving*v*v/2, 3*moving*v*u/math.Sqrt(n)*1.2)
}

func TestAbsentStateGivesAbsentEnergies(t *testing.T) {
	m, err := NewModel(example(), 0)
	if err != nil {
		t.Fatal(err)
	}
	e := m.At(State{Height: None(), Velocity: None()})
	if e.Total.Known() || e.Elastic.Known() || e.Kinetic.Known() || e.Gravitational.Known() {
		t.Errorf("energies of an absent state = %+v, want all absent", e)
	}
	e = m.At(State{Height: known(0.5), Velocity: None()})
	if e.Total.Known() || e.Kinetic.Known() || !e.Elastic.Known() || !e.Gravitational.Known() {
		t.Errorf("energies without a velocity = %+v, want only the potential ones", e)
	}
}

func TestMovingTheReferenceChangesNoDifference(t *testing.T) {
	low, err := NewModel(example(), 0)
	if err != nil {
		t.Fatal(err)
	}
	high, err := NewModel(example(), 0.4)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "difference of the well", low.Potential(0.8)-low.Potential(0.5), high.Potential(0.8)-high.Potential(0.5), 1e-12)
	near(t, "shift of the well", low.Potential(0.8)-high.Potential(0.8), (0.25+0.06)*9.80665*0.4, 1e-12)
}

func TestCheckNamesTheQuantityAtFault(t *testing.T) {
	for _, c := range []struct {
		name, want string
		spoil      func(*Apparatus)
	}{
		{"negative mass", "bob mass = -0.25 kg", func(a *Apparatus) { a.Bob.Mass.Value = -0.25 }},
		{"grams for kilograms", "is the unit right", func(a *Apparatus) { a.Spring.Mass.Value = 60000 }},
		{"no rate", "spring rate = 0", func(a *Apparatus) { a.Spring.Rate.Value = 0 }},
		{"not a number", "support height is not a number", func(a *Apparatus) { a.Support.Value = math.NaN() }},
		{"negative uncertainty", "uncertainty of spring natural length", func(a *Apparatus) { a.Spring.NaturalLength.U = -1 }},
		{"moon", "gravity = 1.6", func(a *Apparatus) { a.Gravity.Value = 1.6 }},
		{"bob longer than the support is high", "only 1.2 m above the floor", func(a *Apparatus) { a.Bob.Length.Value = 1.1 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := example()
			c.spoil(&a)
			err := a.Check()
			if !errors.Is(err, ErrImpossible) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("Check() = %v, want an ErrImpossible saying %q", err, c.want)
			}
			if _, err := NewModel(a, 0); err == nil {
				t.Error("NewModel took it")
			}
		})
	}
	a := example()
	if err := a.Check(); err != nil {
		t.Errorf("Check() of a sound apparatus = %v", err)
	}
}

func BenchmarkModelAt(b *testing.B) {
	a := example()
	m, err := NewModel(a, 0)
	if err != nil {
		b.Fatal(err)
	}
	s := State{Height: Estimate{0.7, 1e-3}, Velocity: Estimate{-0.8, 0.03}}
	b.ReportAllocs()
	for b.Loop() {
		m.At(s)
	}
}
