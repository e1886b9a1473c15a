package loss

import (
	"math/rand/v2"
	"strings"
	"testing"
)

// The law of propagation against a propagation of distributions (JCGM 101) of the same
// books: value and uncertainty of a loss over whole cycles, where what is shared all but
// cancels, and over a drop, where it does not.
func TestDrawAgreesWithPropagation(t *testing.T) {
	for _, c := range []struct {
		name     string
		from, to int
	}{{"whole cycles", 0, 30}, {"a drop", 0, 1}, {"odd number of half swings", 2, 17}} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(63, uint64(c.to)))
			x := experiment(rng, viscous, half(viscous, 0.4, 30), 30)
			x.entries.From, x.entries.To = c.from, c.to
			x.entries.Apparatus.Spring.RateTension = -0.8
			l, err := Balance(x.entries)
			if err != nil {
				t.Fatal(err)
			}
			d, err := Draw(x.entries, 40_000, rng)
			if err != nil {
				t.Fatal(err)
			}
			// The mean of so many draws is good to half a percent of U, their scatter likewise.
			near(t, "lost", d.Mean, l.Lost.Value, 0.03*l.Lost.U)
			near(t, "u of lost", d.U, l.Lost.U, 0.02*l.Lost.U)
		})
	}
}

func TestDrawRefuses(t *testing.T) {
	rng := rand.New(rand.NewPCG(63, 0))
	x := experiment(rng, viscous, half(viscous, 0.4, 30), 30)
	if _, err := Draw(x.entries, 100, rng); err == nil {
		t.Error("Draw() of 100 trials = nil, want a refusal")
	}
	x.entries.To = 99
	if _, err := Draw(x.entries, 10_000, rng); err == nil || !strings.Contains(err.Error(), "draw the loss") {
		t.Errorf("Draw() to a turning point that is not there = %v", err)
	}
}
