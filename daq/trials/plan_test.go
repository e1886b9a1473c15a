package trials_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"joulewell/calib"
	"joulewell/daq/trials"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
)

// planned is one trial of a session as it is to be.
type planned struct {
	fault  trials.Fault // "" = a good trial
	config virtual.Config
	moved  bool // the support has been moved for it, and measured again
}

// cycles is how many whole swings a trial of a session lasts.
const cycles = 6

// plan draws the ten trials of a session: four good ones, of which one in three just
// clears the floor, and six with a fault of the hand, the floor or the ranger.
func plan(t testing.TB, base virtual.Config, rng *rand.Rand) (all []planned) {
	t.Helper()
	faults := []trials.Fault{trials.Pushed, trials.Floor, trials.Sway, trials.LostEchoes}
	kinds := append([]trials.Fault{"", "", "", ""}, faults...)
	for len(kinds) < 10 {
		kinds = append(kinds, faults[rng.IntN(len(faults))])
	}
	rng.Shuffle(len(kinds), func(i, j int) { kinds[i], kinds[j] = kinds[j], kinds[i] })
	between := func(low, high float64) float64 { return low + (high-low)*rng.Float64() }
	for i, kind := range kinds {
		c := hands(base, cycles, rng)
		c.Seed = base.Seed*1000 + uint64(i) + 1
		p := planned{fault: kind}
		fault := func(name string, strength float64) {
			c.Faults = []virtual.Injected{{Name: name, Strength: strength, To: math.Inf(1)}}
		}
		switch kind {
		case trials.Pushed:
			c.Hand.Push = between(0.2, 0.6)
			if rng.IntN(2) == 0 {
				c.Hand.Push = -c.Hand.Push
			}
		case trials.Floor:
			fault("floor-hit", between(0.02, 0.05))
			p.moved = true
		case trials.Sway:
			fault("sway", between(0.1, 0.2))
		case trials.LostEchoes:
			fault("lost-echo", between(0.15, 0.4))
		default:
			if rng.IntN(3) == 0 {
				c, p.moved = clears(c, between(0.01, 0.03)), true
			}
		}
		p.config = c
		all = append(all, p)
	}
	return all
}

// clears puts the support of c where a fall without losses ends so high [m] above the
// floor, or above the least distance of a ranger that stands on it.
func clears(c virtual.Config, height float64) virtual.Config {
	low := c
	low.Known.Perturbed = false
	low.Faults = []virtual.Injected{{Name: "floor-hit", Strength: 1e-6, To: math.Inf(1)}}
	by := virtual.Setup(low).Apparatus.Support.Value + height - c.Support
	if c.Ranger.Mounting == calib.Support {
		c.Ranger.Position += by
	} else {
		by += c.Ranger.Position + c.Ranger.Min
	}
	c.Support += by
	return c
}

// deaf takes the load cell away: its lines are not sent.
func deaf(_ float64, r *wire.Reading) (sent bool) { return !r.Has(wire.LoadCounts) }

// Which planted faults can be seen at all is said here, from the truth and before anybody
// judges: those whose effect is so many times what the ranger's noise leaves unsure in a
// mean over its distances, and whose sway beats so often with the bob's own swing during
// the trial. A sway in step with the swing looks like a wider swing.
const (
	overNoise = 10.0
	beats     = 1.5
)

// visible reports whether a planted fault can be seen.
func (p *planned) visible(t testing.TB) bool {
	t.Helper()
	c := &p.config
	period := swings(*c, 1)
	unsure := func(span float64) float64 { return c.Ranger.Noise * math.Sqrt(2/(span*c.Ranger.Rate)) }
	switch p.fault {
	case trials.Pushed: // how much lower the bob comes first
		still := *c
		still.Hand.Push = 0
		return lowest(t, still)-lowest(t, *c) > overNoise*unsure(period)
	case trials.Floor:
		rig := rigOf(t, *c)
		return rig.At(int64((c.Hand.Hold+cycles*period)*1e9)).Contacts > 0
	case trials.Sway:
		stretch := (c.Bob.Mass + c.Spring.Mass/2) * c.Gravity / c.Spring.Rate
		long := c.Spring.NaturalLength + stretch + c.Bob.Length/2
		away := math.Abs(c.Support - c.Spring.NaturalLength - stretch - c.Bob.Length - c.Ranger.Position)
		detour := long * (1 + long/away)
		if c.Ranger.Mounting == calib.Support {
			detour = away - c.Bob.Length
		}
		angle := c.Faults[0].Strength
		apart := math.Abs(math.Sqrt(c.Gravity/long)/math.Pi - 1/period)
		return angle*angle/4*detour > overNoise*unsure(cycles*period) && apart*cycles*period > beats
	}
	return true
}

// lowest is how low [m] the bob comes in the first swing.
func lowest(t testing.TB, c virtual.Config) float64 {
	t.Helper()
	rig := rigOf(t, c)
	low := math.Inf(1)
	for at := c.Hand.Hold; at < c.Hand.Hold+swings(c, 1); at += 0.002 {
		low = min(low, rig.At(int64(at*1e9)).Height)
	}
	return low
}

func rigOf(t testing.TB, c virtual.Config) *virtual.Rig {
	t.Helper()
	rig, err := virtual.NewRig(c)
	if err != nil {
		t.Fatal(err)
	}
	return rig
}
