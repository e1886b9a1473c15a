package plan

import "math"

// chain is a lossless heavy spring of beads with a bob at its end, close-wound up to an
// initial tension; it is integrated by velocity Verlet and knows nothing of slow
// stretching, nor of energy.
type chain struct {
	mass, rate, tension, gravity float64 // of the spring, SI
	bob                          float64
	place, rush                  []float64 // of the beads, downward from where they are with all coils closed
	top                          float64   // [N] force at the support
}

func newChain(beads int, bob, mass, rate, tension, gravity float64) *chain {
	c := &chain{mass: mass, rate: rate, tension: tension, gravity: gravity, bob: bob}
	c.place, c.rush = make([]float64, beads+1), make([]float64, beads+1)
	n := float64(beads)
	for i := 1; i <= beads; i++ { // hanging by itself: each coil carries what is below its middle
		load := mass * gravity * (n - float64(i) + 0.5) / n
		c.place[i] = c.place[i-1] + max(0, load-tension)/(rate*n)
	}
	return c
}

// pull is the tension of a coil of so much stretch. A closed coil is stiff, not rigid:
// it stands a hundred times its rate.
func (c *chain) pull(stretch float64) float64 {
	n := float64(len(c.place) - 1)
	if stretch < 0 {
		return c.tension + 100*c.rate*n*stretch
	}
	return c.tension + c.rate*n*stretch
}

func (c *chain) kick(h float64) {
	n := len(c.place) - 1
	bead := c.mass / float64(n)
	above := c.pull(c.place[1] - c.place[0])
	c.top = above + bead/2*c.gravity
	for i := 1; i <= n; i++ {
		below, mass := 0.0, c.bob+bead/2
		if i < n {
			below, mass = c.pull(c.place[i+1]-c.place[i]), bead
		}
		c.rush[i] += (c.gravity + (below-above)/mass) * h
		above = below
	}
}

// watched is what a stop-watch, a light gate, a load cell and a rule would show.
type watched struct {
	lowest  float64 // [m] place of the bob at its first turn
	fastest float64 // [m/s]
	force   float64 // [N] largest at the support
	period  float64 // [s] mean over the cycles
}

func (c *chain) swing(cycles int) watched {
	n := len(c.place) - 1
	h := 0.02 * math.Sqrt(c.mass/c.rate) / float64(n)
	if c.tension == 0 {
		h *= 10
	}
	var w watched
	turns, now := 0, 0.0
	for turns < 2*cycles {
		before := c.rush[n]
		c.kick(h / 2)
		for i := 1; i <= n; i++ {
			c.place[i] += c.rush[i] * h
		}
		c.kick(h / 2)
		now += h
		if turns == 0 {
			w.fastest = max(w.fastest, c.rush[n])
			w.force = max(w.force, c.top)
		}
		if before > 0 && c.rush[n] <= 0 || before < 0 && c.rush[n] >= 0 {
			turns++
			if turns == 1 {
				w.lowest = c.place[n]
			}
		}
	}
	w.period = now / float64(cycles)
	return w
}
