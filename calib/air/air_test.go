package air

import (
	"math"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/proof"
	"joulewell/energy"
)

func exact(v float64) energy.Estimate { return energy.Estimate{Value: v, U: 1e-9} }

// The first row is printed in IEC 61094-2:2009, table F.1: 345.86652 m/s and 1.1860848
// kg/m3. The others are Cramer's equation and CIPM-2007 recomputed outside this project,
// the coefficients as in six independent codes. The formula's range is left for 0 Cel.
func TestSpeedAndDensity(t *testing.T) {
	for _, c := range []struct{ celsius, humidity, co2, speed, density float64 }{
		{23, 0.5, 0.0004, 345.86651725321, 1.1860847889882964},
		{20, 0.5, 0.0004, 343.98688734488263, 1.1993144368086484},
		{20, 0, 0.0004, 343.35946685830254, 1.2045572869541188},
		{0, 0, 0.000314, 331.4549986512084, 1.293002527565597},
		{30, 1, 0.0004, 351.4697569059371, 1.146354804650863},
	} {
		proof.Near(t, "speed of sound", cramer(c.celsius, 101325, c.humidity, c.co2), c.speed, 1e-9)
		proof.Near(t, "density", cipm(c.celsius, 101325, c.humidity, c.co2), c.density, 1e-9)
	}
	s := State{exact(23), exact(101325), exact(0.5), exact(0.0004)}
	c, err := s.Sound()
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "speed as printed", c.Value, 345.86652, 0.5e-5)
	proof.Near(t, "its uncertainty", c.U, 3e-4*c.Value/math.Sqrt(3), 1e-6)
	d, err := s.Density()
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "density as printed", d.Value, 1.1860848, 0.5e-7)
	proof.Near(t, "its uncertainty", d.U, 2.2e-5*d.Value, 1e-8)
}

// With the temperature alone the interval of two standard uncertainties must hold dry
// and saturated air, and the 343.2 m/s of ISO 9613-1 at 20 Cel.
func TestTemperatureAlone(t *testing.T) {
	for _, celsius := range []float64{10, 20, 30} {
		c, err := At(exact(celsius)).Sound()
		if err != nil {
			t.Fatal(err)
		}
		for _, other := range []float64{
			cramer(celsius, 101325, 0, 0.0004), cramer(celsius, 101325, 1, 0.0004),
			343.2 * math.Sqrt((celsius+273.15)/293.15),
		} {
			if math.Abs(c.Value-other) > 2.3*c.U {
				t.Errorf("%g Cel: %g m/s, u %g: %g lies outside", celsius, c.Value, c.U, other)
			}
		}
		if c.U > 0.003*c.Value || c.U < 0.0004*c.Value {
			t.Errorf("%g Cel: u = %g m/s", celsius, c.U)
		}
	}
}

// c grows by 0.606 m/s for a degree (common practice, no source).
func TestUncertaintyByTemperature(t *testing.T) {
	s := State{exact(20), exact(101325), exact(0.5), exact(0.0004)}
	sharp, _ := s.Sound()
	s.Temperature.U = 2
	vague, _ := s.Sound()
	proof.Near(t, "u by temperature", math.Sqrt(vague.U*vague.U-sharp.U*sharp.U), 2*0.606, 0.05)
}

func TestRefuses(t *testing.T) {
	good := func() State { return State{exact(20), exact(101325), exact(0.5), exact(0.0004)} }
	cases := []proof.Refusal[State]{
		proof.Refuse("air temperature = 293.15", "air temperature = 293.15", doubt.ErrUnit, func(s *State) { s.Temperature.Value = 293.15 }),
		proof.Refuse("air temperature = NaN", "air temperature = NaN", doubt.ErrNumber, func(s *State) { s.Temperature = energy.None() }),
		proof.Refuse("air pressure = 1013.25", "air pressure = 1013.25", doubt.ErrUnit, func(s *State) { s.Pressure.Value = 1013.25 }),
		proof.Refuse("relative humidity = 50", "relative humidity = 50", doubt.ErrUnit, func(s *State) { s.Humidity.Value = 50 }),
		proof.Refuse("carbon dioxide = 400", "carbon dioxide = 400", doubt.ErrUnit, func(s *State) { s.CarbonDioxide.Value = 400 }),
		proof.Refuse("uncertainty of air pressure = -1", "uncertainty of air pressure = -1", doubt.ErrNumber, func(s *State) { s.Pressure.U = -1 }),
	}
	proof.Refusals(t, good, func(s State) error { _, err := s.Sound(); return err }, cases...)
	proof.Refusals(t, good, func(s State) error { _, err := s.Density(); return err }, cases...)
}
