package virtual

import (
	"math"
	"math/rand/v2"

	"joulewell/calib"
)

// dice draws numbers of a random bench.
type dice struct{ *rand.Rand }

// between draws evenly from a range, decade so that every factor is as likely.
func (d dice) between(low, high float64) float64 { return low + (high-low)*d.Float64() }
func (d dice) decade(low, high float64) float64  { return low * math.Pow(high/low, d.Float64()) }

// Random returns a bench drawn by seed: a spring of 5 to 50 N/m and up to 0.6 of the
// bob's mass, a drop of 0.1 to 1.2 m, cheap to good sensors in either mounting, losses
// from hardly any to plain. The bob is let go once, is never caught and never reaches
// the floor. The setup's values are off by a draw from their uncertainties.
func Random(seed uint64) Config {
	d := dice{stream(seed, "random bench")}
	c := Default()
	c.Name, c.Seed = "Random", seed
	c.Gravity = d.between(9.78, 9.83)
	d.apparatus(&c)
	d.losses(&c)
	c.Air = Air{Temperature: d.between(12, 30), Warming: d.between(-2e-4, 2e-4), Humidity: d.between(20, 80)}
	d.sensors(&c)
	d.known(&c)
	return c
}

// apparatus draws spring, bob and a support from which the bob clears the floor.
func (d dice) apparatus(c *Config) {
	s := &c.Spring
	s.Rate = d.decade(5, 50)
	// A fall of 2 M g/k between 0.1 and 1.2 m with a bob of 50 g to 1.5 kg.
	least, most := max(0.1, 2*0.05*c.Gravity/s.Rate), min(1.2, 2*1.5*c.Gravity/s.Rate)
	fall := d.decade(least, most)
	c.Bob = Bob{Mass: fall * s.Rate / (2 * c.Gravity), Length: d.between(0.02, 0.12)}
	s.Mass = c.Bob.Mass * 0.6 * math.Pow(d.Float64(), 2) // light springs are commoner
	s.NaturalLength = d.between(0.05, 0.35)
	if d.Float64() < 0.25 {
		s.InitialTension = d.between(0.05, 0.3) * c.Bob.Mass * c.Gravity
		s.Coils = 20 // coils that close need short steps
	}
	c.Hand = Hand{Hold: d.between(1, 2)}
	c.Support = 2 * (s.NaturalLength + c.Bob.Length + fall + 1)
	c.Support = s.NaturalLength + c.Bob.Length + c.lowest() + d.between(0.1, 0.4)
}

// losses draws losses that halve the amplitude in some ten to some hundred swings.
func (d dice) losses(c *Config) {
	m, w := c.Bob.Mass, math.Sqrt(c.Spring.Rate/c.Bob.Mass)
	amplitude := c.Bob.Mass * c.Gravity / c.Spring.Rate
	share := d.decade(0.001, 0.02) // of the energy, each half swing, through all ways
	critical := 2 * m * w
	c.Losses = Losses{
		Viscous:     d.Float64() * share / math.Pi * critical / 2,
		Quadratic:   d.Float64() * share * m / amplitude / 4,
		Sliding:     d.Float64() * share * c.Spring.Rate * amplitude / 8,
		Internal:    (0.2 + d.Float64()) * share / math.Pi * critical / 4,
		Restitution: 0.4,
	}
}

// sensors draws a ranger and a load cell between cheap and good.
func (d dice) sensors(c *Config) {
	r, l := &c.Ranger, &c.Load
	r.Noise = d.decade(5e-4, 3e-3)
	r.Position, r.Max = d.between(0, 0.06), c.Support+0.2
	r.Lost, r.Outliers = 0.02*d.Float64(), 0.01*d.Float64()
	r.Scale = 1 + 1e-3*d.NormFloat64()
	if d.Float64() < 0.3 {
		r.Mounting, r.Position = calib.Support, c.Support+d.between(0, 0.05)
	}
	if d.Float64() < 0.3 {
		r.Optical, r.Resolution, r.Rate = true, 1e-4, d.decade(50, 500)
		r.Delay = d.between(0, 4e-3)
	} else {
		r.Rate = min(d.between(25, 50), 140/r.Max)
	}
	l.Rate = []float64{10, 80, 80, 320}[d.IntN(4)]
	l.RateOffset = 0.02 * d.NormFloat64()
	l.Noise = d.decade(5e-4, 1e-2)
	l.Zero = math.Round(1e5 * d.NormFloat64())
	l.Span = 2.5 * c.Bob.Mass * c.Gravity / (0.5 * fullScale) // the swing uses half of the range
	if d.Float64() < 0.5 {
		l.Span = -l.Span
	}
	l.Drift, l.DriftTime = d.between(0, 5e-3), d.between(300, 2000)
	c.Thermometer.Offset = 0.3 * d.NormFloat64()
	c.Clock.PPM = 40 * d.NormFloat64()
	if d.Float64() < 0.3 {
		c.Clock.PPM = 1500 * d.NormFloat64() // a ceramic resonator in place of a crystal
	}
	c.Line.Baud = 250000
	c.Line.Jitter = d.decade(1e-4, 2e-3)
	if d.Float64() < 0.3 {
		c.Line.Batch = 0.016
	}
}

// known draws how well the bench is known, and lets the setup be off accordingly.
func (d dice) known(c *Config) {
	care := d.decade(0.5, 3)
	k := &c.Known
	k.Perturbed = true
	k.BobMass, k.SpringMass = 3e-5*care, 3e-5*care
	k.BobLength, k.NaturalLength, k.Support, k.Offset = 1.5e-4*care, 3e-4*care, 3e-4*care, 3e-4*care
	k.Rate = 2e-3 * care
	if c.Spring.InitialTension > 0 {
		k.InitialTension = 5e-3 * care
	}
	k.Scale, k.Span, k.Zero = 5e-4*care, 5e-4*care, 2e-3*care
	k.Delay, k.Temperature = 5e-4*care, 0.3*care
}
