package virtual

import (
	"math"
	"testing"
)

// An impact takes (1 - e^2) of the energy that the balance of energies leaves the bob
// at the floor.
func TestImpact(t *testing.T) {
	for _, e := range []float64{0, 0.5, 1} {
		c := plain(0)
		c.Losses.Restitution = e
		c.Support = c.Spring.NaturalLength + c.Bob.Length + 0.15 // of a fall of 0.196 m
		r := rigOf(t, c)
		at := int64(0)
		for r.At(at).Contacts == 0 && at < 1e9 {
			at += 1e6
		}
		s := r.At(at)
		kinetic := c.Bob.Mass*c.Gravity*0.15 - c.Spring.Rate*0.15*0.15/2
		near(t, "energy lost [J]", s.Lost.Floor, (1-e*e)*kinetic, 1e-9)
		near(t, "books [J]", s.Unexplained(), 0, 1e-12)
		if s.Height < -1e-12 {
			t.Errorf("the bob is %g m below the floor", -s.Height)
		}
	}
}

// The bob never goes through the floor, and a heavy one comes to rest on it.
func TestRestingOnTheFloor(t *testing.T) {
	c := plain(0.04)
	c.Losses.Restitution, c.Losses.Internal = 0.3, 0.02
	c.Support = c.Spring.NaturalLength + c.Bob.Length + 0.05 // it would hang at 0.1 m
	r := rigOf(t, c)
	for at := int64(0); at < 5e9; at += 1e6 {
		if h := r.At(at).Height; h < -1e-9 {
			t.Fatalf("at %d ns the bob is %g m below the floor", at, -h)
		}
	}
	s := r.At(5e9)
	near(t, "height at rest [m]", s.Height, 0, 1e-9)
	near(t, "velocity at rest [m/s]", s.Velocity, 0, 0)
	if s.Contacts < 3 || s.Contacts > 15 {
		t.Errorf("%d contacts, want several bounces", s.Contacts)
	}
}

// A bob that stops dead on the floor is lifted again by a spring that pulls more than
// its weight.
func TestLiftedOffTheFloor(t *testing.T) {
	c := plain(0.04)
	c.Support = c.Spring.NaturalLength + c.Bob.Length + 0.17 // it would hang at 0.1 m
	r := rigOf(t, c)
	high := 0.0
	for at := int64(0); at < 2e9; at += 1e6 {
		if s := r.At(at); s.Contacts > 0 {
			high = max(high, s.Height)
		}
	}
	if want := 2 * 0.07; math.Abs(high-want) > 0.02 {
		t.Errorf("after the impact it rises to %g m, want about %g", high, want)
	}
}
