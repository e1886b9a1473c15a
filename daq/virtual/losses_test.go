package virtual

import (
	"math"
	"testing"
)

// swing returns the first n amplitudes about the middle, the starting one first, of a
// bob on a massless spring let go at amplitude a above the middle.
func swing(t *testing.T, cfg Config, a float64, n int) []float64 {
	t.Helper()
	middle := cfg.Bob.Mass * cfg.Gravity / cfg.Spring.Rate
	cfg.Hand.Pull = middle - a
	r := rigOf(t, cfg)
	amplitudes := []float64{a}
	half := math.Pi * math.Sqrt(cfg.Bob.Mass/cfg.Spring.Rate) * 1e9
	at := int64(0)
	for len(amplitudes) < n {
		at = turning(r, at+int64(half*0.6), int64(half/50))
		if at < 0 {
			t.Fatalf("no turning point after %d", len(amplitudes))
		}
		amplitudes = append(amplitudes, math.Abs(r.At(at).Extension-middle))
	}
	return amplitudes
}

// Decay of a swing about the neutral point. Own derivations (viscous and sliding decay
// are in any textbook of mechanics; the map of quadratic drag follows from its first
// integral), recomputed at 40 digits.
func TestDecay(t *testing.T) {
	light := func(mass, rate float64) Config {
		c := plain(0)
		c.Bob.Mass, c.Spring.Rate = mass, rate
		return c
	}
	t.Run("viscous", func(t *testing.T) {
		c := light(0.25, 20)
		c.Losses.Viscous = 0.03
		a := swing(t, c, 0.1, 21)
		near(t, "ratio per half cycle", a[1]/a[0], 0.9791456058149278, 1e-7)
		near(t, "A20/A0", a[20]/a[0], 0.6560630592959537, 2e-6) // ten cycles
	})
	t.Run("internal", func(t *testing.T) { // in a massless spring the same as a drag on the bob
		c := light(0.25, 20)
		c.Losses.Internal = 0.03
		a := swing(t, c, 0.1, 21)
		near(t, "ratio per half cycle", a[1]/a[0], 0.9791456058149278, 1e-7)
		near(t, "A20/A0", a[20]/a[0], 0.6560630592959537, 2e-6)
	})
	t.Run("quadratic", func(t *testing.T) {
		c := light(0.25, 20)
		c.Losses.Quadratic = 0.05 * 0.25
		for i, want := range []float64{
			0.1, 0.09933774543987674, 0.09868420483122643, 0.09803920731005135, 0.0974025864504552,
			0.09677418012147569, 0.0961538303494234, 0.09554138318548194, 0.09493668857833588,
		} {
			near(t, "amplitude [m]", swing(t, c, 0.1, 9)[i], want, 1e-8)
		}
	})
	t.Run("strong quadratic", func(t *testing.T) { // p = 2 beta A
		for _, pq := range [][2]float64{{0.1, 0.0937475579949905}, {1, 0.5936242600400401}, {5, 0.9849012264025945}} {
			c := light(0.25, 20)
			const beta = 5
			c.Losses.Quadratic = beta * c.Bob.Mass
			a := swing(t, c, pq[0]/(2*beta), 2)
			near(t, "q", 2*beta*a[1], pq[1], 2e-5)
		}
	})
	t.Run("sliding", func(t *testing.T) {
		c := light(0.25, 20)
		c.Losses.Sliding = 0.004 * 20
		for i, got := range swing(t, c, 0.1, 13) {
			near(t, "amplitude [m]", got, 0.1-0.008*float64(i), 2e-6)
		}
	})
}

// After sliding friction has taken the last swing the bob sticks where it stands.
// Own derivation, recomputed: from 0.1 m with f = 0.003 m it turns 16 times, last at
// 0.004 m, and rests 0.002 m from the neutral point on the same side.
func TestSticking(t *testing.T) {
	c := plain(0)
	c.Spring.Rate = 20
	c.Losses.Sliding = 0.003 * 20
	middle := c.Bob.Mass * c.Gravity / 20
	c.Hand.Pull = middle - 0.1
	r := rigOf(t, c)
	s := r.At(10e9)
	near(t, "place of rest [m]", s.Extension-middle, -0.002, 1e-5) // sixteen half cycles: above, where it started
	if s.Velocity != 0 {
		t.Errorf("it creeps at %g m/s", s.Velocity)
	}
	if later := r.At(20e9); later.Extension != s.Extension || later.Lost != s.Lost {
		t.Errorf("it moves: %+v then %+v", s, later)
	}
}

// Friction that is stronger than any force holds the bob where it was let go, and one
// that is weaker does not, on a spring with waves too.
func TestStickingFromTheStart(t *testing.T) {
	for _, ratio := range []float64{0, 0.1} {
		c := plain(ratio)
		weight := c.Bob.Mass * c.Gravity
		c.Losses.Sliding, c.Losses.Internal = 1.1*weight, 0.05
		if s := rigOf(t, c).At(3e9); math.Abs(s.Extension-rigOf(t, c).start) > 1e-6 {
			t.Errorf("ratio %g: held bob has moved to %g m", ratio, s.Extension)
		}
		c.Losses.Sliding = 0.9 * weight
		if s := rigOf(t, c).At(3e9); s.Extension < rigOf(t, c).start+0.005 {
			t.Errorf("ratio %g: bob has stuck at %g m although the force is larger", ratio, s.Extension)
		}
	}
}

// A bob that friction held lets go once the force has outgrown it, as when a wave comes
// down the coils.
func TestComingLoose(t *testing.T) {
	c := plain(0.1)
	c.Losses.Sliding = 0.5 * c.Bob.Mass * c.Gravity
	r := rigOf(t, c)
	r.now.hand.phase, r.now.hand.due = watching, never
	r.now.grip = stuck // with all its weight on it
	if s := r.At(1e9); s.Extension < r.start+0.02 {
		t.Errorf("after a second it has moved by %g m", s.Extension-r.start)
	}
}

// The split of losses is of second order in the step.
func TestLossesConverge(t *testing.T) {
	c := plain(0)
	c.Losses = Losses{Viscous: 0.3, Quadratic: 1}
	at := func(step float64) float64 {
		c.Step = step
		return rigOf(t, c).At(800e6).Extension
	}
	c.Bob.Mass = 5 // slow, so that the longest step is the one asked for
	exact := at(1e-5)
	if ratio := (at(8e-4) - exact) / (at(4e-4) - exact); ratio < 3.7 || ratio > 4.3 {
		t.Errorf("deviation falls by %.2f when the step is halved, want about 4", ratio)
	}
}
