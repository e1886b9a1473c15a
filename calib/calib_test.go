package calib

import (
	"errors"
	"math"
	"strings"
	"testing"

	"joulewell/energy"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g within %.2g", what, got, want, tol)
	}
}

// Cramer 1993 at 50 % (343.986887 m/s at 20 Cel, 101325 Pa, 400 ppm CO2, recomputed
// outside this project; pressure and carbon dioxide of a room move it by a few cm/s), and
// ISO 9613-1 where it stands in: 343.2 sqrt(T/293.15).
func TestSpeedOfSound(t *testing.T) {
	half := energy.Estimate{Value: 0.5, U: 0.03}
	at := func(celsius float64) energy.Estimate { return energy.Estimate{Value: celsius, U: 0.1} }
	known, unknown := SpeedOfSound(at(20), half), SpeedOfSound(at(20), energy.None())
	near(t, "at half humidity", known.Value, 343.986887, 0.1)
	near(t, "humidity not known", unknown.Value, known.Value, 0.05)
	if !(unknown.U > 2*known.U && unknown.U < 0.6) {
		t.Errorf("u = %g with, %g without humidity", known.U, unknown.U)
	}
	near(t, "rule of thumb, dry", SpeedOfSound(at(20), energy.Estimate{Value: 0.001, U: 0.001}).Value, 331.3+0.606*20, 0.2) // common practice, no source
	cold := SpeedOfSound(at(-10), half)
	near(t, "below zero", cold.Value, 343.2*math.Sqrt(263.15/293.15), 1e-9)
	if !(cold.U > 0.004*cold.Value) {
		t.Errorf("u below zero = %g", cold.U)
	}
	if h := Humidity(130); h.Known() {
		t.Errorf("130 %% counts as %+v", h)
	}
}

func TestEchoAndRangeGiveTheSameDistance(t *testing.T) {
	d := Distance{Mounting: Floor, Scale: energy.Estimate{Value: 1.002, U: 0.001}, Offset: energy.Estimate{Value: 0.02}}
	sound := energy.Estimate{Value: 343.2, U: 0.4}
	echo := d.Echo(3000, sound)
	near(t, "echo distance", echo.Value, 1.002*0.5148, 1e-12)
	rangeMm := d.Range(514.8)
	near(t, "range distance", rangeMm.Value, echo.Value, 1e-12)
	if !(echo.U > rangeMm.U && rangeMm.U > 0) {
		t.Errorf("u of echo %g, of range %g: the echo must carry the speed of sound besides the scale", echo.U, rangeMm.U)
	}
	near(t, "height, looking up", d.Height(0.5), 0.52, 1e-12)
	// Away from the pivot the scale's doubt counts, and the speed of sound's from the sensor.
	d.Offset.U, d.Pivot = 4e-4, 0.4
	near(t, "u common at the pivot", d.Common(0.4, 0), 4e-4, 1e-15)
	near(t, "u common elsewhere", d.Common(0.9, 0.002), math.Sqrt(4e-4*4e-4+math.Pow(0.5*0.001/1.002, 2)+math.Pow(0.9*0.002, 2)), 1e-12)
	d.Mounting = Support
	d.Offset.Value = 0.9
	near(t, "height, looking down", d.Height(0.5), 0.4, 1e-12)
}

func TestNewtons(t *testing.T) {
	f := Force{Zero: energy.Estimate{Value: -1000, U: 3}, Span: energy.Estimate{Value: 2e-5, U: 1e-8}}
	got := f.Newtons(149000)
	near(t, "force", got.Value, 3, 1e-12)
	near(t, "u of force", got.U, math.Hypot(150000*1e-8, 2e-5*3), 1e-15)

	// A bent cell whose span and bend were found together: what they share counts once.
	f.Bend, f.SpanBend = energy.Estimate{Value: 1e-12, U: 5e-14}, -0.9
	got = f.Newtons(149000)
	near(t, "bent force", got.Value, 3+1e-12*150000*150000, 1e-12)
	s, b := 150000*1e-8, 150000.0*150000*5e-14
	curve := math.Sqrt(s*s + b*b - 2*0.9*s*b)
	near(t, "u of bent force", got.U, math.Hypot(curve, (2e-5+2*1e-12*150000)*3), 1e-15)
}

func TestCheckNamesWhatIsWrong(t *testing.T) {
	sound := Calibration{
		Distance: Distance{Mounting: Floor, Scale: energy.Estimate{Value: 1}, Noise: 0.001},
		Force:    Force{Span: energy.Estimate{Value: 1e-5}},
		Air:      Air{Temperature: energy.Estimate{Value: 21, U: 1}},
	}
	if err := sound.Check(); err != nil {
		t.Fatalf("Check() of a sound calibration = %v", err)
	}
	for _, c := range []struct {
		want  string
		spoil func(*Calibration)
	}{
		{`mounting "wall"`, func(c *Calibration) { c.Distance.Mounting = "wall" }},
		{"distance scale = 1000", func(c *Calibration) { c.Distance.Scale.Value = 1000 }},
		{"force span = 0", func(c *Calibration) { c.Force.Span.Value = 0 }},
		{"air temperature = 294", func(c *Calibration) { c.Air.Temperature.Value = 294 }},
		{"its correlation with the span 2", func(c *Calibration) { c.Force.SpanBend = 2 }},
		{"pivot of the distance = -1", func(c *Calibration) { c.Distance.Pivot = -1 }},
		{"noise of the distance = NaN", func(c *Calibration) { c.Distance.Noise = math.NaN() }},
		{"uncertainty of the force zero = -1", func(c *Calibration) { c.Force.Zero.U = -1 }},
	} {
		bad := sound
		c.spoil(&bad)
		if err := bad.Check(); !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("Check() = %v, want ErrInvalid saying %q", err, c.want)
		}
	}
}
