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

// ISO 9613-1: c = 343.2 sqrt(T/293.15); values recomputed from the formula of the
// standard outside this project, and the rule of thumb 331.3 + 0.606 t (common
// practice, no source) as a coarse check of the whole.
func TestSpeedOfSound(t *testing.T) {
	for _, c := range []struct{ celsius, want float64 }{
		{0, 331.285885}, {10, 337.295551}, {20, 343.2}, {30, 349.004572},
	} {
		got := SpeedOfSound(energy.Estimate{Value: c.celsius})
		near(t, "speed of sound", got.Value, c.want, 5e-7)
		near(t, "rule of thumb", got.Value, 331.3+0.606*c.celsius, 0.5)
	}
	warm := SpeedOfSound(energy.Estimate{Value: 20, U: 2})
	near(t, "u from temperature and humidity", warm.U, math.Hypot(2*343.2/(2*293.15), 0.0011*343.2), 1e-9)
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
