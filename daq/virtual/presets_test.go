package virtual

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"joulewell/daq/wire"
	"joulewell/energy"
)

// Every preset and every random bench can exist, and so can what is known of it.
func TestPresetsCanExist(t *testing.T) {
	all := []Config{Default(), Quiet(1000), Quiet(25), Lossless()}
	for seed := range uint64(300) {
		all = append(all, Random(seed))
	}
	for _, c := range all {
		if _, err := New(c); err != nil {
			t.Errorf("%s, seed %d: %v", c.Name, c.Seed, err)
			continue
		}
		b := Setup(c)
		if err := b.Apparatus.Check(); err != nil {
			t.Errorf("%s, seed %d: %v", c.Name, c.Seed, err)
		}
		if err := b.Calibration.Check(); err != nil {
			t.Errorf("%s, seed %d: %v", c.Name, c.Seed, err)
		}
	}
}

// Random benches stay within what they promise, and reach most of it.
func TestRandomCoversItsRange(t *testing.T) {
	type span struct{ name, unit string }
	low, high := map[span]float64{}, map[span]float64{}
	note := func(name, unit string, v float64) {
		s := span{name, unit}
		if old, ok := low[s]; !ok || v < old {
			low[s] = v
		}
		high[s] = max(high[s], v)
	}
	for seed := range uint64(400) {
		c := Random(seed)
		note("mass ratio", "1", c.Spring.Mass/c.Bob.Mass)
		note("rate", "N/m", c.Spring.Rate)
		note("drop", "m", 2*c.Bob.Mass*c.Gravity/c.Spring.Rate)
		note("echo noise", "m", c.Ranger.Noise)
	}
	for s, want := range map[span][4]float64{ // least, at most this low, at least this high, most
		{"mass ratio", "1"}: {0, 0.001, 0.55, 0.6},
		{"rate", "N/m"}:     {5, 5.5, 45, 50},
		{"drop", "m"}:       {0.1, 0.11, 1.1, 1.2},
		{"echo noise", "m"}: {5e-4, 6e-4, 2.5e-3, 3e-3},
	} {
		if low[s] < want[0]*0.9999 || low[s] > want[1] || high[s] < want[2] || high[s] > want[3]*1.0001 {
			t.Errorf("%s runs from %g to %g %s, want %v", s.name, low[s], high[s], s.unit, want)
		}
	}
}

// No random bob reaches the floor, and each swing decays.
func TestRandomSwings(t *testing.T) {
	seeds := uint64(60)
	if quick() {
		seeds = 4
	}
	for seed := range seeds {
		c := Random(seed)
		r := rigOf(t, c)
		var s Truth
		for at := int64(0); at < 12e9; at += 50e6 {
			s = r.At(at)
			if s.Contacts > 0 || s.Height < 0.02 {
				t.Fatalf("seed %d: the bob comes to %g m at %d ns", seed, s.Height, at)
			}
		}
		mg := c.Bob.Mass * c.Gravity
		exchanged := 2 * mg * mg / c.Spring.Rate
		if lost := s.Lost.Sum() / exchanged; lost < 1e-3 || lost > 1 {
			t.Errorf("seed %d: lost %g of the energy exchanged in 12 s", seed, lost)
		}
		if open := math.Abs(s.Unexplained()) / exchanged; open > 2e-5 {
			t.Errorf("seed %d: books are open by %g of the energy exchanged", seed, open)
		}
	}
}

// The default bench decays visibly within its half minute, and is never lost from the
// ranger's sight.
func TestDefaultDecays(t *testing.T) {
	r := rigOf(t, Default())
	reach := func(from float64) float64 {
		low, high := math.Inf(1), math.Inf(-1)
		for at := int64(from * 1e9); at < int64((from+1)*1e9); at += 5e6 {
			h := r.At(at).Height
			low, high = min(low, h), max(high, h)
		}
		return high - low
	}
	first, last := reach(1.2), reach(24.5)
	near(t, "first swing [m]", first, 0.19, 0.01)
	if kept := last / first; kept < 0.35 || kept > 0.7 {
		t.Errorf("after 23 s %g of the swing is left, want about half", kept)
	}
}

// A perturbed setup is off by what it says, no more and no less; an exact one is exact.
func TestSetupIsHonest(t *testing.T) {
	var off []float64
	for seed := range uint64(300) {
		c := Random(seed)
		b := Setup(c)
		exact := c
		exact.Known.Perturbed = false
		e := Setup(exact)
		for _, p := range [][2]energy.Estimate{
			{b.Apparatus.Bob.Mass, e.Apparatus.Bob.Mass},
			{b.Apparatus.Bob.Length, e.Apparatus.Bob.Length},
			{b.Apparatus.Spring.NaturalLength, e.Apparatus.Spring.NaturalLength},
			{b.Apparatus.Spring.Rate, e.Apparatus.Spring.Rate},
			{b.Apparatus.Support, e.Apparatus.Support},
			{b.Apparatus.Gravity, e.Apparatus.Gravity},
			{b.Calibration.Distance.Scale, e.Calibration.Distance.Scale},
			{b.Calibration.Distance.Offset, e.Calibration.Distance.Offset},
			{b.Calibration.Force.Zero, e.Calibration.Force.Zero},
			{b.Calibration.Force.Span, e.Calibration.Force.Span},
			{b.Calibration.Force.Delay, e.Calibration.Force.Delay},
			{b.Calibration.Air.Temperature, e.Calibration.Air.Temperature},
		} {
			if p[0].U != p[1].U || !(p[0].U > 0) {
				t.Fatalf("seed %d: uncertainties %g and %g", seed, p[0].U, p[1].U)
			}
			off = append(off, (p[0].Value-p[1].Value)/p[0].U)
		}
	}
	scatters(t, "deviations over their uncertainty", off, 1)

	c := Default()
	e := Setup(c)
	near(t, "bob mass [kg]", e.Apparatus.Bob.Mass.Value, c.Bob.Mass, 0)
	near(t, "rate [N/m]", e.Apparatus.Spring.Rate.Value, c.Spring.Rate, 0)
	near(t, "span [N/count]", e.Calibration.Force.Span.Value, c.Load.Span, 0)
	if Setup(c) != e {
		t.Error("the setup of one configuration differs from itself")
	}
}

// The energy model, given the true state of a quiet bench, finds the true energies but
// for the constants that it leaves out and the waves in the coils.
func TestModelAgreesWithTruth(t *testing.T) {
	c := Lossless()
	m, err := energy.NewModel(Setup(c).Apparatus, 0)
	if err != nil {
		t.Fatal(err)
	}
	w := c.Spring.Mass * c.Gravity
	constants := w*w/(24*c.Spring.Rate) - w*w/(12*c.Spring.Rate)
	mg := c.Bob.Mass * c.Gravity
	exchanged := 2 * mg * mg / c.Spring.Rate
	ratio := c.Spring.Mass / c.Bob.Mass
	r := rigOf(t, c)
	for at := int64(0); at < 5e9; at += 7e6 {
		s := r.At(at)
		e := m.At(energy.State{Height: energy.Estimate{Value: s.Height}, Velocity: energy.Estimate{Value: s.Velocity}})
		// Largest share on the way of a first drop, 0.0321 ratio^1.5 (own asymptotics),
		// and half as much again for later swings.
		near(t, "total energy [J]", e.Total.Value, s.Mechanical()-constants, 1.5*0.0321*math.Pow(ratio, 1.5)*exchanged)
	}
}

func TestRefusals(t *testing.T) {
	for i, spoil := range []func(*Config){
		func(c *Config) { c.Bob.Mass = 0 },
		func(c *Config) { c.Bob.Mass = math.NaN() },
		func(c *Config) { c.Spring.Rate = math.Inf(1) },
		func(c *Config) { c.Spring.Mass = -0.01 },
		func(c *Config) { c.Spring.Coils = -1 },
		func(c *Config) { c.Losses.Restitution = 1.1 },
		func(c *Config) { c.Support = 0.15 },
		func(c *Config) { c.Hand.Pull = 2 },
		func(c *Config) { c.Hand.Period = 4 },
		func(c *Config) { c.Hand.Carry = 0 },
		func(c *Config) { c.Ranger.Mounting = "ceiling" },
		func(c *Config) { c.Ranger.Rate = 200 },
		func(c *Config) { c.Ranger.Min = 3 },
		func(c *Config) { c.Load.Paired = true },
		func(c *Config) { c.Load.Span = 0 },
		func(c *Config) { c.Load.Rate = 0 },
		func(c *Config) { c.Load.DriftTime = 0 },
		func(c *Config) { c.Clock.SeqBits = 24 },
		func(c *Config) { c.Line.Split = 2 },
		func(c *Config) { c.Faults = []Injected{{Name: "gremlins", Strength: 1}} },
		func(c *Config) { c.Faults = []Injected{{Name: "floor-hit", Strength: 0.5, To: forever}} },
	} {
		c := Default()
		spoil(&c)
		_, err := New(c)
		if err == nil || !errors.Is(err, ErrImpossible) && !errors.Is(err, ErrFault) {
			t.Errorf("case %d: %v, want a refusal", i, err)
		}
	}
}

// A Config is a plain value: devices and setups leave it as it was.
func TestConfigStaysAsItWas(t *testing.T) {
	c := with(t, Default(), "push", "floor-hit", "clock-wrap", "lost-echo")
	before := fmt.Sprintf("%+v", c)
	hear(t, c, 2)
	Setup(c)
	if after := fmt.Sprintf("%+v", c); after != before {
		t.Errorf("before %s\nafter %s", before, after)
	}
}

// Quiet readings come at the rate asked for, distance and force on one line.
func TestQuietRate(t *testing.T) {
	h := hear(t, Quiet(1000), 5)
	n := 0
	for i := range h.readings {
		if r := &h.readings[i]; r.Has(wire.RangeMm) && r.Has(wire.LoadCounts) {
			n++
		}
	}
	near(t, "lines with both values in 5 s", float64(n), 4992, 2)
}
