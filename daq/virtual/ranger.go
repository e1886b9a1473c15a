package virtual

import (
	"math"
	"math/rand/v2"

	"joulewell/calib"
	"joulewell/calib/air"
	"joulewell/energy"
)

// indication is what a sensor is about to say, in its raw unit, before it is rounded.
type indication struct {
	raw     float64 // [raw unit] noise included
	unit    float64 // [raw unit per m or N]
	noise   float64 // [m or N] standard deviation already in raw
	missing bool    // it says nothing
}

// ranger is the distance sensor at work.
type ranger struct {
	Ranger
	rig     *Rig
	still   *still // nil while the bob swings
	air     Air
	rng     *rand.Rand
	length  float64 // [m] of the pendulum that bob and spring make when they sway
	support float64 // [m]
	bob     float64 // [m] length of the bob
}

func newRanger(c *Config, rig *Rig) *ranger {
	s := &c.Spring
	equilibrium := (c.Bob.Mass + s.Mass/2) * c.Gravity / s.Rate
	return &ranger{
		Ranger: c.Ranger, rig: rig, air: c.Air, rng: stream(c.Seed, "ranger"),
		length:  s.NaturalLength + equilibrium + c.Bob.Length/2,
		support: c.Support, bob: c.Bob.Length,
	}
}

// speedOfSound returns c [m/s] at the instant at [ns], by Cramer's equation for the true
// temperature and humidity, and by ISO 9613-1 (343.2 sqrt(T/293.15)) beyond its range.
func (a *Air) speedOfSound(at int64) float64 {
	t := a.temperature(at)
	state := air.At(energy.Estimate{Value: t})
	state.Humidity = energy.Estimate{Value: a.Humidity / 100, U: 1e-9} // zero is dry, not unknown
	c, err := state.Speed()
	if err != nil {
		return 343.2 * math.Sqrt((t+273.15)/293.15)
	}
	return c
}

// temperature returns the temperature [Cel] at the instant at [ns].
func (a *Air) temperature(at int64) float64 { return a.Temperature + a.Warming*float64(at)*1e-9 }

// distance returns the length of the path [m] to the bob at the instant at [ns], and
// its rate [m/s]. A bob that sways hangs higher and farther off.
func (r *ranger) distance(at int64) (d, rate float64) {
	s := r.rig.look(at)
	last := r.rig.chain.coils - 1
	height, rise := r.rig.chain.floor-s.u[last], -s.v[last]
	if r.still != nil {
		height, rise = r.still.height, 0
	}
	if r.Mounting == calib.Support {
		d, rate = r.Position-(height+r.bob), -rise
	} else {
		d, rate = height-r.Position, rise
	}
	if r.Sway == 0 {
		return d, rate
	}
	angle := r.Sway * math.Cos(math.Sqrt(r.rig.chain.gravity/r.length)*float64(at)*1e-9)
	if r.Mounting == calib.Support {
		return d / math.Cos(angle), rate
	}
	return math.Hypot(d+r.length*(1-math.Cos(angle)), r.length*math.Sin(angle)), rate
}

// ping lets a sound go at the instant at [ns]. It returns the true round-trip time [s]
// and the distance [m] at which the sound met the bob, which moves meanwhile:
// c*(t - at) = distance(t).
func (r *ranger) ping(at int64) (echo, distance float64) {
	c := r.air.speedOfSound(at)
	guess, _ := r.distance(at)
	met := at + nanoseconds(guess/c)
	distance, rate := r.distance(met)
	// The guess is off by microseconds, over which the bob moves straight on.
	flight := float64(met-at) * 1e-9
	late := (distance - c*flight) / (c - rate)
	return 2 * (flight + late), distance + rate*late
}

// listening returns how long [s] the sensor waits for an echo.
func (r *ranger) listening(at int64) float64 { return 2 * r.Max / r.air.speedOfSound(at) }

// measure fills m with the indication of the sensor triggered at the instant at [ns].
// It returns the true distance [m], and how long after the trigger [s] the indication
// is there.
func (r *ranger) measure(m *indication, at int64, clock *counter) (distance, after float64) {
	gauss, lost, odd, how := r.rng.NormFloat64(), r.rng.Float64(), r.rng.Float64(), r.rng.Float64()
	m.noise = r.Noise
	if r.Optical {
		seen := max(at-nanoseconds(r.Delay), 0)
		distance, _ = r.distance(seen)
		m.unit = 1e3 / r.Scale
	} else {
		after, distance = r.ping(at)
		c := r.air.speedOfSound(at)
		m.unit = clock.measured(2/c, at) / r.Scale
	}
	m.missing = !(distance >= r.Min && distance <= r.Max) || lost < r.Lost
	m.raw = m.unit * (distance + r.Noise*gauss)
	if odd < r.Outliers {
		m.astray(how)
	}
	if m.missing && !r.Optical {
		after = r.listening(at)
	}
	return distance, after
}

// astray makes an echo one off something else: an edge or a cord on the way, or round
// about. how is uniform between 0 and 1.
func (m *indication) astray(how float64) {
	if how < 0.5 {
		m.raw *= 0.35 + how // 0.35 to 0.85: too short
	} else {
		m.raw *= 0.65 + how // 1.15 to 1.65: too long
	}
}

// rounded returns the number that the sensor states: whole microseconds, or steps of a
// stated distance.
func (r *ranger) rounded(raw float64) float64 {
	if !r.Optical {
		return math.Round(raw)
	}
	return inSteps(raw, r.Resolution*1e3)
}

// inSteps rounds v to whole steps; a step of zero leaves it as it is.
func inSteps(v, step float64) float64 {
	if step == 0 {
		return v
	}
	if per := math.Round(1 / step); math.Abs(per*step-1) < 1e-9 {
		return math.Round(v*per) / per // a decimal step gives the nearest decimal
	}
	return math.Round(v/step) * step
}
