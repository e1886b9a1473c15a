package virtual

import (
	"math"
	"math/rand/v2"
	"time"

	"joulewell/calib"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// calibrated is when the people at the virtual benches last calibrated their sensors.
var calibrated = time.Date(2026, time.November, 20, 18, 30, 0, 0, time.UTC)

// people measure a bench: each value comes out true, or off by a draw from its
// standard uncertainty.
type people struct {
	rng       *rand.Rand
	perturbed bool
}

// find returns what they find for a true value.
func (p *people) find(value, u float64) energy.Estimate {
	off := p.rng.NormFloat64()
	if p.perturbed {
		value += u * off
	}
	return energy.Estimate{Value: value, U: u}
}

// positive is find for what cannot be negative.
func (p *people) positive(value, u float64) energy.Estimate {
	e := p.find(value, u)
	e.Value = max(e.Value, 0)
	return e
}

// Setup returns what the people at bench c know of it: apparatus and calibration with
// the standard uncertainties of c.Known, exact or, where c.Known says so, off by a draw
// from them. c must be a Config that [New] accepts.
func Setup(c Config) setup.Bench {
	if e, err := c.effective(); err == nil {
		c = e
	}
	k := &c.Known
	p := &people{stream(c.Seed, "people"), k.Perturbed}
	return setup.Bench{
		Name: c.Name, SpringLabel: c.SpringLabel, BobLabel: c.BobLabel,
		Apparatus: energy.Apparatus{
			Spring: energy.Spring{
				Mass:           p.positive(c.Spring.Mass, k.SpringMass),
				NaturalLength:  p.positive(c.Spring.NaturalLength, k.NaturalLength),
				Rate:           p.find(c.Spring.Rate, k.Rate*c.Spring.Rate),
				InitialTension: p.positive(c.Spring.InitialTension, k.InitialTension),
			},
			Bob: energy.Bob{
				Mass:   p.find(c.Bob.Mass, k.BobMass),
				Length: p.positive(c.Bob.Length, k.BobLength),
			},
			Support: p.find(c.Support, k.Support),
			Gravity: p.find(c.Gravity, k.Gravity),
		},
		Calibration: calib.Calibration{
			Distance: p.distance(&c),
			Force:    p.force(&c),
			Air:      calib.Air{Temperature: p.find(c.Air.Temperature, k.Temperature)},
		},
		Motion: setup.Motion{Lag: lag(&c), Degree: 3},
	}
}

func (p *people) distance(c *Config) calib.Distance {
	r, k := &c.Ranger, &c.Known
	offset, scale, step, delay := r.Position, r.Scale, r.Resolution, energy.Estimate{}
	if r.Mounting == calib.Support {
		offset -= c.Bob.Length
	}
	if r.Optical {
		delay = p.find(r.Delay, k.Delay)
	} else {
		scale /= 1 + 1e-6*c.Clock.PPM // a fast clock counts too long a time
		step = 1e-6 * c.Air.speedOfSound(0) / 2
	}
	return calib.Distance{
		Date: calibrated, Mounting: r.Mounting,
		Scale:  p.find(scale, k.Scale),
		Offset: p.find(offset, k.Offset),
		Noise:  math.Hypot(r.Noise, step/math.Sqrt(12)),
		Delay:  delay, Min: r.Min, Max: r.Max,
	}
}

func (p *people) force(c *Config) calib.Force {
	l, k := &c.Load, &c.Known
	rate, step := l.Rate*(1+l.RateOffset), math.Abs(l.Span)
	capacity := step * fullScale
	if l.Paired {
		rate = c.Ranger.Rate
	}
	if l.Newtons {
		step, capacity = l.Resolution, 0
	}
	return calib.Force{
		Date:  calibrated,
		Zero:  p.find(l.Zero, k.Zero/math.Abs(l.Span)),
		Span:  p.find(l.Span, k.Span*math.Abs(l.Span)),
		Noise: math.Hypot(l.Noise, step/math.Sqrt(12)),
		Delay: p.find(settling/2/rate, k.Delay),
		Max:   capacity,
	}
}

// lag is how far live values may trail: with many readings a shorter one will do.
func lag(c *Config) time.Duration {
	if c.Ranger.Rate >= 200 {
		return 30 * time.Millisecond
	}
	return 60 * time.Millisecond
}
