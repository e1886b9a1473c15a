package masses

import (
	"errors"
	"math"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/proof"
	"joulewell/energy"
)

func piece(name string, mass, density float64) Piece {
	return Piece{Name: name, Mass: energy.Estimate{Value: mass, U: 1e-5}, Density: energy.Estimate{Value: density, U: 100}, Conventional: true}
}

func set(pieces ...Piece) *Set {
	return &Set{Pieces: pieces, Gravity: energy.Estimate{Value: 9.81, U: 5e-4}, Air: energy.Estimate{Value: 1.2, U: 0.02}}
}

// Conventional over true mass, from the definition of OIML D 28 (2004) recomputed
// outside this project.
func TestConventionalMass(t *testing.T) {
	for _, c := range []struct{ density, ratio float64 }{
		{2700, -0.000294488617737105}, {7950, -9.435377570786561e-07}, {8000, 0}, {21500, 9.420017653810862e-05},
	} {
		p := piece("a", 1, c.density)
		proof.Near(t, "conventional over true", 1/p.True()-1, c.ratio, 1e-14)
		p.Conventional = false
		proof.Near(t, "true as stated", p.True(), 1, 0)
	}
}

// In air of 1.2 kg/m3 the force of a conventional mass does not depend on what it is
// made of: m g (1 - 1.2/8000), OIML D 28.
func TestForce(t *testing.T) {
	s := set(piece("brass", 0.2, 8400), piece("aluminium", 0.05, 2700))
	f, err := s.Force([]string{"aluminium", "brass"})
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "force", f, 0.25*9.81*0.99985, 1e-12)
	m, err := s.Mass([]string{"aluminium"})
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "true mass", m, 0.05/(1-0.000294488617737105), 1e-12)
	if f, err := s.Force(nil); f != 0 || err != nil {
		t.Errorf("force of nothing = %g, %v", f, err)
	}
}

// Pieces that hang in several loads, and pieces of one reference, move together.
func TestSources(t *testing.T) {
	a, b, c := piece("a", 0.1, 8000), piece("b", 0.2, 8000), piece("c", 0.3, 8000)
	b.Reference, c.Reference = "R", "R"
	s := set(a, b, c)
	effects := make(map[string][]float64)
	for _, source := range s.Sources(func(s *Set) []float64 {
		one, _ := s.Force([]string{"a", "b"})
		two, _ := s.Force([]string{"b", "c"})
		return []float64{one, two}
	}) {
		effects[source.Name] = source.Effects
	}
	const pull = 9.81 * 0.99985
	for name, want := range map[string][2]float64{
		"gravity":      {0.3 * 0.99985 * 5e-4, 0.5 * 0.99985 * 5e-4},
		"mass of a":    {1e-5 * pull, 0},
		"reference R":  {1e-5 * pull, 2e-5 * pull},
		"density of a": {0, 0}, // in air of 1.2 kg/m3 it drops out
	} {
		got := effects[name]
		if got == nil {
			got = []float64{0, 0}
		}
		for i := range want {
			proof.Near(t, name, got[i], want[i], 1e-12)
		}
	}
	proof.Near(t, "air", effects["density of air"][0], -0.3*9.81*0.02/8000, 1e-10)
	if s.Pieces[0].Mass.Value != 0.1 || s.Gravity.Value != 9.81 {
		t.Error("the set itself has moved")
	}
}

func TestRefuses(t *testing.T) {
	fresh := func() Set { return *set(piece("a", 0.1, 8000), piece("b", 0.1, 8000)) }
	work := func(s Set) error { return s.Check() }
	proof.Refusals(t, fresh, work,
		proof.Refuse("mass of a = 200 kg", "mass of a = 200 kg", doubt.ErrUnit, func(s *Set) { s.Pieces[0].Mass.Value = 200 }),
		proof.Refuse("mass of a = NaN", "mass of a = NaN", doubt.ErrNumber, func(s *Set) { s.Pieces[0].Mass.Value = math.NaN() }),
		proof.Refuse("density of a = 8.4", "density of a = 8.4", doubt.ErrUnit, func(s *Set) { s.Pieces[0].Density.Value = 8.4 }),
		proof.Refuse("uncertainty of a", "uncertainty of a", doubt.ErrNumber, func(s *Set) { s.Pieces[0].Mass.U = -1 }),
		proof.Refuse("name of its own", "name of its own", doubt.ErrContradict, func(s *Set) { s.Pieces[1].Name = "a" }),
		proof.Refuse("gravity = 981", "gravity = 981", doubt.ErrUnit, func(s *Set) { s.Gravity.Value = 981 }),
		proof.Refuse("density of air = 1200", "density of air = 1200", doubt.ErrUnit, func(s *Set) { s.Air.Value = 1200 }),
	)
	s := set(piece("a", 0.1, 8000))
	for _, load := range [][]string{{"b"}, {"a", "a"}} {
		if _, err := s.Force(load); !errors.Is(err, doubt.ErrContradict) {
			t.Errorf("Force(%v) = %v, want a refusal", load, err)
		}
	}
}

func TestDensityOfMaterials(t *testing.T) {
	if d, ok := Density("brass"); !ok || d.Value != 8400 { // OIML R 111-1, table B.7 (from memory)
		t.Errorf("brass = %v, %t", d, ok)
	}
	if _, ok := Density("butter"); ok {
		t.Error("knows butter")
	}
}
