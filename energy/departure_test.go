package energy

import (
	"errors"
	"math"
	"strings"
	"testing"
)

// hardening is a chain of coils under its own weight. The whole of them, stretched by u,
// pulls with soft u + hard u^3. It knows nothing of the formulas under test.
type hardening struct {
	soft, hard, weight float64
	coils              int
}

// hang returns the extension [m], and the elastic energy and that of the coils' weight
// [J] from the place of the closed spring, under a load [N].
func (h hardening) hang(load float64) (x, elastic, height float64) {
	n := float64(h.coils)
	for i := range h.coils {
		tension := load + h.weight*(n-float64(i)-0.5)/n
		low, high := 0.0, 10.0/n
		for range 80 {
			if u := (low + high) / 2; h.soft*n*u+h.hard*n*n*n*u*u*u < tension {
				low = u
			} else {
				high = u
			}
		}
		u := low
		height -= h.weight / n * (x + u/2)
		x += u
		elastic += h.soft*n*u*u/2 + h.hard*n*n*n*u*u*u*u/4
	}
	return x, elastic, height
}

// bent returns the example with such a spring, known by the extensions under a few loads.
func bent(t *testing.T, loads int) (Apparatus, hardening) {
	t.Helper()
	a := example()
	chain := hardening{soft: 20, hard: 150, weight: a.Spring.Mass.Value * a.Gravity.Value, coils: 4000}
	var x, f []float64
	for i := range loads {
		load := 4 * float64(i) / float64(loads-1)
		at, _, _ := chain.hang(load)
		x, f = append(x, at), append(f, load)
	}
	d, err := NewDeparture(&a.Spring, a.Gravity.Value, x, f)
	if err != nil {
		t.Fatal(err)
	}
	a.Spring.Departure = d
	return a, chain
}

// The potential energy between two extensions must be what the chain of coils has,
// though it was told nothing but extensions under loads.
func TestBentSpringAgainstAChain(t *testing.T) {
	a, chain := bent(t, 60)
	m, err := NewModel(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	x0, e0, h0 := chain.hang(0.3)
	for _, load := range []float64{0.7, 1.9, 3.6} {
		x, e, h := chain.hang(load)
		bob := a.Bob.Mass.Value * a.Gravity.Value * (x0 - x)
		want := (e - e0) + (h - h0) + bob
		got := m.Potential(a.Height(x)) - m.Potential(a.Height(x0))
		spacing := a.Spring.Departure.Extension[1] - a.Spring.Departure.Extension[0] // the widest
		chord := spacing * spacing * 6 * chain.hard * x / 12 * (x - x0)              // of a law curved by 6 hard x
		near(t, "potential energy", got, want, chord+1e-8)
		a.Bob.Mass.Value = load / a.Gravity.Value
		near(t, "equilibrium", a.Equilibrium(), x, 2e-5)
		a.Bob = example().Bob
	}
	self, _, _ := chain.hang(0)
	near(t, "self extension", a.Spring.SelfExtension(a.Gravity.Value), self, 1e-9)
}

// A departure of zero everywhere changes nothing, beyond its points either.
func TestDepartureOfNothing(t *testing.T) {
	a := example()
	straight, err := NewModel(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	a.Spring.Departure = &Departure{Extension: []float64{0.05, 0.1, 0.2}, Force: make([]float64, 3)}
	bent, err := NewModel(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{0, 0.03, 0.05, 0.07, 0.2, 0.3} {
		s := State{Height: Estimate{a.Height(x), 1e-3}, Velocity: known(0.4)}
		if e, f := straight.At(s), bent.At(s); e != f {
			t.Errorf("at %g m: energies %+v, want %+v", x, f, e)
		}
	}
	near(t, "equilibrium", a.Equilibrium(), (0.25+0.03)*9.80665/25, 1e-12)
	if e := bent.At(State{Height: None(), Velocity: None()}); e.Elastic.Known() {
		t.Errorf("elastic energy of an absent height = %+v", e.Elastic)
	}
}

// The slope that uncertainties are worked out with is the force, the bent part too.
func TestBentSlope(t *testing.T) {
	a, _ := bent(t, 20)
	m, err := NewModel(a, 0)
	if err != nil {
		t.Fatal(err)
	}
	const u, step = 1e-3, 1e-6
	for _, x := range []float64{0.031, 0.08, 0.139} {
		e := m.At(State{Height: Estimate{a.Height(x), u}, Velocity: known(0)})
		force := (m.At(State{Height: known(a.Height(x + step)), Velocity: known(0)}).Elastic.Value -
			m.At(State{Height: known(a.Height(x - step)), Velocity: known(0)}).Elastic.Value) / (2 * step)
		near(t, "u of elastic energy", e.Elastic.U, u*force, 1e-6*u*force+1e-12)
	}
}

func TestImpossibleCurves(t *testing.T) {
	for _, c := range []struct {
		name, want string
		x, f       []float64
	}{
		{"two points", "at least three", []float64{0.1, 0.2}, []float64{0, 0}},
		{"not as many", "2 forces", []float64{0.1, 0.2, 0.3}, []float64{0, 0}},
		{"extension falls", "point 3: extension 0.15 m", []float64{0.1, 0.2, 0.15}, []float64{0, 0, 0}},
		{"force falls", "point 2: force", []float64{0.1, 0.2, 0.3}, []float64{0, -2.6, 0}},
		{"not a number", "point 2: not a number", []float64{0.1, 0.2, 0.3}, []float64{0, math.NaN(), 0}},
		{"negative", "point 1: extension -0.1 m", []float64{-0.1, 0.2, 0.3}, []float64{0, 0, 0}},
	} {
		a := example()
		a.Spring.Departure = &Departure{Extension: c.x, Force: c.f}
		if err := a.Check(); !errors.Is(err, ErrImpossible) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: Check() = %v, want ErrImpossible saying %q", c.name, err, c.want)
		}
	}
	s := example().Spring
	if _, err := NewDeparture(&s, 9.8, []float64{1, 2}, []float64{1}); !errors.Is(err, ErrImpossible) {
		t.Errorf("NewDeparture() of 2 extensions and 1 force = %v, want ErrImpossible", err)
	}
}
