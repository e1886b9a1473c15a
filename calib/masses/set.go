package masses

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy"
)

// Piece is one check mass, or whatever else hangs: a holder, a hook, the bob.
type Piece struct {
	Name         string
	Mass         energy.Estimate // [kg]
	Conventional bool            // Mass is conventional, as certificates and balances state it; else true
	Density      energy.Estimate // [kg/m3]
	Reference    string          // pieces compared with the same one are wrong together; empty = each for itself
}

// Set is all pieces at hand, and the place.
type Set struct {
	Pieces  []Piece
	Gravity energy.Estimate // [m/s2]
	Air     energy.Estimate // [kg/m3] density
}

// Conventional mass is that of an imagined piece of this density that balances the real
// one in air of this density (OIML D 28).
const (
	conventionalAir     = 1.2  // [kg/m3]
	conventionalDensity = 8000 // [kg/m3]
)

// True returns the true mass [kg].
func (p *Piece) True() float64 {
	if !p.Conventional {
		return p.Mass.Value
	}
	return p.Mass.Value * (1 - conventionalAir/float64(conventionalDensity)) / (1 - conventionalAir/p.Density.Value)
}

// Check returns nil or what is wrong with the set.
func (s *Set) Check() error {
	seen := make(map[string]bool, len(s.Pieces))
	for i := range s.Pieces {
		p := &s.Pieces[i]
		switch {
		case p.Name == "" || seen[p.Name]:
			return fmt.Errorf("check masses: %w: piece %q: each needs a name of its own", doubt.ErrContradict, p.Name)
		case !(p.Mass.Value > 0) || !doubt.Finite(p.Mass.Value):
			return fmt.Errorf("check masses: %w: mass of %s = %g kg: must be positive", doubt.ErrNumber, p.Name, p.Mass.Value)
		case p.Mass.Value > heaviest:
			return fmt.Errorf("check masses: %w: mass of %s = %g kg: must not be above %d kg, grams are written as 0.001 kg", doubt.ErrUnit, p.Name, p.Mass.Value, heaviest)
		case !(p.Density.Value > 500 && p.Density.Value < 25000):
			return fmt.Errorf("check masses: %w: density of %s = %g kg/m3: must lie between 500 and 25000, steel has 7950", doubt.ErrUnit, p.Name, p.Density.Value)
		case !doubt.Uncertain(p.Mass.U) || !doubt.Uncertain(p.Density.U):
			return fmt.Errorf("check masses: %w: uncertainty of %s: must be zero or positive", doubt.ErrNumber, p.Name)
		}
		seen[p.Name] = true
	}
	switch g, a := s.Gravity, s.Air; {
	case !(g.Value > 9.7 && g.Value < 9.9) || !doubt.Uncertain(g.U):
		return fmt.Errorf("check masses: %w: gravity = %g m/s2, uncertainty %g: on the ground it lies between 9.76 and 9.84", doubt.ErrUnit, g.Value, g.U)
	case !(a.Value >= 0 && a.Value < 2) || !doubt.Uncertain(a.U):
		return fmt.Errorf("check masses: %w: density of air = %g kg/m3, uncertainty %g: lies near 1.2", doubt.ErrUnit, a.Value, a.U)
	}
	return nil
}

const heaviest = 20 // [kg] that hangs at such a bench

// Force returns the force [N] of a load, buoyancy in air taken off: for each piece
// m g (1 - air/density) with m its true mass.
func (s *Set) Force(load []string) (float64, error) {
	return s.sum(load, func(p *Piece) float64 { return p.True() * s.Gravity.Value * (1 - s.Air.Value/p.Density.Value) })
}

// Mass returns the true mass [kg] of a load.
func (s *Set) Mass(load []string) (float64, error) { return s.sum(load, (*Piece).True) }

func (s *Set) sum(load []string, of func(*Piece) float64) (float64, error) {
	total := 0.0
	for i, name := range load {
		found := false
		for j := range s.Pieces {
			if s.Pieces[j].Name == name {
				total, found = total+of(&s.Pieces[j]), true
			}
		}
		if !found {
			return 0, fmt.Errorf("hang load: %w: piece %q is not in the set", doubt.ErrContradict, name)
		}
		for _, other := range load[:i] {
			if other == name {
				return 0, fmt.Errorf("hang load: %w: piece %q hangs twice: give the second one a name of its own", doubt.ErrContradict, name)
			}
		}
	}
	return total, nil
}

// Sources returns what each uncertain input of the set does to the numbers that f works
// out from it: half of their change between the input raised and lowered by one standard
// uncertainty. They are named "gravity", "density of air", "mass of NAME", "density of
// NAME", and "reference NAME" for the masses of pieces compared with the same one.
func (s *Set) Sources(f func(*Set) []float64) []fit.Source {
	var out []fit.Source
	try := func(name string, move func(*Set, float64)) {
		effects := f(s.moved(move, 1))
		square := 0.0
		for i, low := range f(s.moved(move, -1)) {
			effects[i] = (effects[i] - low) / 2
			square += math.Pow(effects[i], 2)
		}
		if square > 0 {
			out = append(out, fit.Source{Name: name, Effects: effects})
		}
	}
	try("gravity", func(s *Set, by float64) { s.Gravity.Value += by * s.Gravity.U })
	try("density of air", func(s *Set, by float64) { s.Air.Value += by * s.Air.U })
	done := make(map[string]bool)
	for i := range s.Pieces {
		if name := s.source(i); !done[name] {
			done[name] = true
			try(name, func(m *Set, by float64) {
				for j := range m.Pieces {
					if m.source(j) == name {
						m.Pieces[j].Mass.Value += by * m.Pieces[j].Mass.U
					}
				}
			})
		}
		try("density of "+s.Pieces[i].Name, func(m *Set, by float64) { m.Pieces[i].Density.Value += by * m.Pieces[i].Density.U })
	}
	return out
}

// source names the input that the mass of piece i hangs on.
func (s *Set) source(i int) string {
	if r := s.Pieces[i].Reference; r != "" {
		return "reference " + r
	}
	return "mass of " + s.Pieces[i].Name
}

func (s *Set) moved(move func(*Set, float64), by float64) *Set {
	m := *s
	m.Pieces = append([]Piece(nil), s.Pieces...)
	move(&m, by)
	return &m
}
