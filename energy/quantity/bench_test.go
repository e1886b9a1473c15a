package quantity

import (
	"errors"
	"math"
	"strings"
	"testing"

	"joulewell/energy"
)

func severn() Bench {
	b := Bench{
		BobMass: at(Mass, 0.2501, 1e-4), BobLength: at(Length, 0.062, 3e-4), SpringMass: at(Mass, 0.0098, 1e-4),
		NaturalLength: at(Length, 0.118, 3e-4), Rate: at(Rate, 24.6, 0.1), Support: at(Length, 0.965, 6e-4),
	}
	b.Fill()
	return b
}

func TestBenchStandIns(t *testing.T) {
	b := severn()
	if err := b.Check(); err != nil {
		t.Fatal(err)
	}
	if b.Gravity != StandardGravity() || b.InitialTension != Chosen(Force, 0) || b.Rule != Chosen(Ratio, 1) {
		t.Errorf("stand-ins: %+v", b)
	}
	all := strings.Join(b.Assumptions(), "\n")
	if !strings.Contains(all, "9.80665 m/s2 stands in") || !strings.Contains(all, "no initial tension") {
		t.Errorf("assumptions: %s", all)
	}
	b.Gravity, b.InitialTension = at(Acceleration, 9.8142, 5e-4), at(Force, 0.05, 0.02)
	if all := b.Assumptions(); len(all) != 0 {
		t.Errorf("with everything measured: %q", all)
	}
	b.Gravity, _ = Gravity(at(Angle, 45*degree, 0), at(Length, 0, 0))
	if all := b.Assumptions(); len(all) != 1 || all[0] != "gravity by latitude and altitude is 9.80620 m/s2, u = 0.00049 m/s2" {
		t.Errorf("by place: %q", all)
	}
	b.Support = Quantity{}
	if err := b.Check(); err != nil {
		t.Errorf("without a support: %v", err)
	}
}

func TestBenchRefuses(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Bench)
		want   string
	}{
		{"missing", func(b *Bench) { b.SpringMass = Quantity{} }, "spring mass is missing"},
		{"exact", func(b *Bench) { b.NaturalLength.U = 0 }, "uncertainty of natural length is zero"},
		{"exact tension", func(b *Bench) { b.InitialTension = at(Force, 0.1, 0) }, "uncertainty of initial tension is zero"},
		{"negative", func(b *Bench) { b.SpringMass.Value = -0.01 }, "spring mass = -0.01 kg: must be positive"},
		{"no mass", func(b *Bench) { b.BobMass.Value = 0 }, "bob mass = 0 kg"},
		{"not a number", func(b *Bench) { b.Rate.Value = math.NaN() }, "spring rate is not a number"},
		{"negative u", func(b *Bench) { b.Rate.U = -1 }, "uncertainty of spring rate"},
		{"low support", func(b *Bench) { b.Support.Value = 0.1 }, "the support is only 0.1 m"},
		{"soft", func(b *Bench) { b.Rate.Value = 1e-300 }, "spring rate = 1e-300 N/m: less than 0.001 N/m"},
		{"moon", func(b *Bench) { b.Gravity.Value = 1.62 }, "gravity = 1.62"},
		{"rubber rule", func(b *Bench) { b.Rule = at(Ratio, 2, 0.1) }, "rule scale = 2"},
	} {
		t.Run(c.name, func(t *testing.T) {
			b := severn()
			c.change(&b)
			err := b.Check()
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("got %v, want %q", err, c.want)
			}
			if missing := (MissingError{}); errors.As(err, &missing) != (c.name == "missing") {
				t.Errorf("%v is not told as missing", err)
			}
		})
	}
}

// A rule that is a hundredth too short makes every length a hundredth longer, and
// nothing else; small things drawn below zero count as nothing.
func TestApparatusOfInputs(t *testing.T) {
	b := severn()
	x := make([]float64, BenchInputs)
	for i, in := range b.Inputs() {
		x[i] = in.Value
	}
	x[AtBobLength] = -0.001
	if l := Apparatus(x).Bob.Length.Value; l != 0 {
		t.Errorf("a bob length drawn at -1 mm counts as %g m", l)
	}
	x[AtBobLength] = 0.062
	x[AtRule], x[AtInitialTension] = 1.01, -0.001
	a := Apparatus(x)
	for _, c := range []struct {
		name string
		got  energy.Estimate
		want float64
	}{
		{"support", a.Support, 0.965 * 1.01}, {"natural length", a.Spring.NaturalLength, 0.118 * 1.01},
		{"bob length", a.Bob.Length, 0.062 * 1.01}, {"bob mass", a.Bob.Mass, 0.2501},
		{"spring mass", a.Spring.Mass, 0.0098}, {"rate", a.Spring.Rate, 24.6}, {"tension", a.Spring.InitialTension, 0},
		{"gravity", a.Gravity, 9.80665},
	} {
		near(t, c.name, c.got.Value, c.want, 1e-15)
		near(t, c.name+": u", c.got.U, 0, 0)
	}
}
