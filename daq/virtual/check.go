package virtual

import (
	"errors"
	"fmt"
	"math"

	"joulewell/calib"
)

// ErrImpossible is wrapped by every refusal of a [Config] that cannot be.
var ErrImpossible = errors.New("impossible virtual bench")

// effective returns c with defaults filled in and the faults that are part of the
// bench built in, or a refusal.
func (c Config) effective() (Config, error) {
	if c.Spring.Coils == 0 {
		c.Spring.Coils = 40
	}
	if c.Spring.Contact == 0 {
		c.Spring.Contact = 32
	}
	if err := c.checkApparatus(); err != nil {
		return c, err
	}
	for i := range c.Faults {
		if err := c.Faults[i].check(); err != nil {
			return c, err
		}
	}
	for i := range specs {
		for _, in := range c.Faults {
			if s := &specs[i]; s.Name == in.Name && s.shape != nil {
				s.shape(&c, in.Strength)
			}
		}
	}
	for _, check := range []func(*Config) error{(*Config).checkApparatus, (*Config).checkRoom, (*Config).checkSensors} {
		if err := check(&c); err != nil {
			return c, err
		}
	}
	return c, nil
}

// limit is a demand on one number: from least to most, both allowed.
type limit struct {
	name        string
	value       float64
	least, most float64
	unit        string
}

func within(limits []limit) error {
	for _, l := range limits {
		if !(l.value >= l.least && l.value <= l.most) {
			return fmt.Errorf("%w: %s = %g %s: must lie between %g and %g", ErrImpossible, l.name, l.value, l.unit, l.least, l.most)
		}
	}
	return nil
}

func (c *Config) checkApparatus() error {
	s, l, h := &c.Spring, &c.Losses, &c.Hand
	err := within([]limit{
		{"bob mass", c.Bob.Mass, 1e-4, 1000, "kg"},
		{"bob length", c.Bob.Length, 0, 100, "m"},
		{"spring mass", s.Mass, 0, 1000, "kg"},
		{"spring natural length", s.NaturalLength, 0, 100, "m"},
		{"spring rate", s.Rate, 1e-2, 1e6, "N/m"},
		{"spring initial tension", s.InitialTension, 0, 1e4, "N"},
		{"coils", float64(s.Coils), 1, 10000, ""},
		{"contact stiffness", s.Contact, 2, 1e6, ""},
		{"support height", c.Support, 0, 100, "m"},
		{"gravity", c.Gravity, 0.1, 100, "m/s2"},
		{"viscous drag", l.Viscous, 0, 1e6, "N s/m"},
		{"quadratic drag", l.Quadratic, 0, 1e6, "N s2/m2"},
		{"sliding friction", l.Sliding, 0, 1e6, "N"},
		{"internal loss", l.Internal, 0, 1e6, "N s/m"},
		{"restitution", l.Restitution, 0, 1, ""},
		{"pull", h.Pull, -100, 100, "m"},
		{"hold", h.Hold, 0, 1e6, "s"},
		{"push", h.Push, -100, 100, "m/s"},
		{"period of the hand", h.Period, 0, 1e6, "s"},
		{"time to carry", h.Carry, 0, 1e3, "s"},
		{"step", c.Step, 0, 1, "s"},
	})
	if err != nil {
		return err
	}
	if need := h.Hold + h.Carry + 2*reach; h.Period > 0 && (h.Period < need || h.Carry < 0.1) {
		return fmt.Errorf("%w: period of the hand = %g s, time to carry = %g s: at least %g s and 0.1 s would pass",
			ErrImpossible, h.Period, h.Carry, need)
	}
	return nil
}

// checkRoom refuses a start below the floor.
func (c *Config) checkRoom() error {
	k := newChain(c)
	hanging, _ := k.stretch(0)
	if start := k.floor - hanging - c.Hand.Pull; !(start > 0) {
		return fmt.Errorf("%w: the bob would be let go %g m below the floor: a higher support would pass", ErrImpossible, -start)
	}
	return nil
}

func (c *Config) checkSensors() error {
	r, l, t := &c.Ranger, &c.Load, &c.Thermometer
	err := within([]limit{
		{"air temperature", c.Air.Temperature, -40, 60, "Cel"},
		{"warming of the air", c.Air.Warming, -1, 1, "K/s"},
		{"humidity", c.Air.Humidity, 0, 100, "%"},
		{"ranger rate", r.Rate, 0.1, 10000, "1/s"},
		{"ranger position", r.Position, -1, 101, "m"},
		{"ranger noise", r.Noise, 0, 10, "m"},
		{"ranger resolution", r.Resolution, 0, 1, "m"},
		{"ranger minimum", r.Min, 0, r.Max, "m"},
		{"ranger maximum", r.Max, 1e-3, 100, "m"},
		{"share of lost echoes", r.Lost, 0, 1, ""},
		{"share of outliers", r.Outliers, 0, 1, ""},
		{"ranger delay", r.Delay, 0, 1, "s"},
		{"ranger scale", r.Scale, 0.5, 2, ""},
		{"sway", r.Sway, 0, 1, "rad"},
		{"load cell noise", l.Noise, 0, 1e4, "N"},
		{"load cell resolution", l.Resolution, 0, 1e4, "N"},
		{"load cell drift", l.Drift, -1e4, 1e4, "N"},
		{"deviation of the converter's rate", l.RateOffset, -0.5, 0.5, ""},
		{"period of the thermometer", t.Period, 0, 1e6, "s"},
		{"noise of the thermometer", t.Noise, 0, 10, "K"},
		{"clock rate", c.Clock.PPM, -1e5, 1e5, "ppm"},
		{"clock drift", c.Clock.Drift, -1e3, 1e3, "ppm/s"},
		{"delay of stamps", c.Clock.Late, 0, 1e-3, "s"},
		{"bit rate", c.Line.Baud, 0, 1e9, "bit/s"},
		{"latency timer", c.Line.Batch, 0, 1, "s"},
		{"share of split lines", c.Line.Split, 0, 1, ""},
		{"jitter", c.Line.Jitter, 0, 1, "s"},
		{"time to boot", c.Line.Boot, 0, 60, "s"},
	})
	if err != nil {
		return err
	}
	switch {
	case r.Mounting != calib.Floor && r.Mounting != calib.Support:
		return fmt.Errorf("%w: ranger mounting %q: %q or %q would pass", ErrImpossible, r.Mounting, calib.Floor, calib.Support)
	case !r.Optical && 2*r.Max*r.Rate > 300:
		return fmt.Errorf("%w: %g echoes a second from up to %g m: the next sound would go before this one is back; at most %.3g /s would pass",
			ErrImpossible, r.Rate, r.Max, 150/r.Max)
	case l.Paired && !r.Optical:
		return fmt.Errorf("%w: conversions paired with echoes: an optical ranger or a converter with a clock of its own would pass", ErrImpossible)
	case !l.Paired && !(l.Rate >= 0.1 && l.Rate <= 10000):
		return fmt.Errorf("%w: load cell rate = %g 1/s: must lie between 0.1 and 10000", ErrImpossible, l.Rate)
	case l.Span == 0 || math.IsNaN(l.Span) || math.IsInf(l.Span, 0):
		return fmt.Errorf("%w: load cell span = %g: must be a number other than zero", ErrImpossible, l.Span)
	case l.Drift != 0 && !(l.DriftTime > 0):
		return fmt.Errorf("%w: period of the load cell's drift = %g s: must be positive", ErrImpossible, l.DriftTime)
	case c.Clock.SeqBits != 16 && c.Clock.SeqBits != 32:
		return fmt.Errorf("%w: line counter of %d bits: 16 or 32 would pass", ErrImpossible, c.Clock.SeqBits)
	}
	return nil
}
