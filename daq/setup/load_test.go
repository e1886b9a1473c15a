package setup

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"joulewell/energy"
)

func severn(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("../../testdata/benches/severn.toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestExampleBench(t *testing.T) {
	f, err := Parse(severn(t))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name      string
		got, want float64
	}{
		{"bob mass", f.Bench.Apparatus.Bob.Mass.Value, 0.2501},
		{"its uncertainty", f.Bench.Apparatus.Bob.Mass.U, 0.0001},
		{"natural length", f.Bench.Apparatus.Spring.NaturalLength.Value, 0.118},
		{"rate", f.Bench.Apparatus.Spring.Rate.Value, 24.6},
		{"support height", f.Bench.Apparatus.Support.Value, 0.965},
		{"offset", f.Bench.Calibration.Distance.Offset.Value, 0.021},
		{"noise", f.Bench.Calibration.Distance.Noise, 0.0015},
		{"force delay", f.Bench.Calibration.Force.Delay.Value, 0.025},
		{"nearest distance", f.Bench.Calibration.Distance.Min, 0.02},
		{"farthest distance", f.Bench.Calibration.Distance.Max, 4},
		{"capacity", f.Bench.Calibration.Force.Max, 9.8},
		{"span", f.Bench.Calibration.Force.Span.Value, 1.204e-5},
		{"air", f.Bench.Calibration.Air.Temperature.Value, 20.5},
		{"safe extension", f.Bench.Apparatus.Spring.SafeExtension, 0.45},
	} {
		if math.Abs(c.got-c.want) > 1e-12 {
			t.Errorf("%s = %g, want %g", c.name, c.got, c.want)
		}
	}
	if f.Device.Port != "auto" || f.Device.Baud != 115200 || f.Listen != "127.0.0.1:8420" || f.Bench.Name != "Severn" {
		t.Errorf("words = %+v, %q, %q", f.Device, f.Listen, f.Bench.Name)
	}
}

func TestRefusalsNameTheLine(t *testing.T) {
	text := severn(t)
	for _, c := range []struct {
		name, old, new, want string
	}{
		{"negative uncertainty", "bob_mass_u_g               = 0.1", "bob_mass_u_g = -0.1",
			"line 10: bob_mass_u_g = -0.1: an uncertainty must be zero or positive"},
		{"negative mass", "bob_mass_g                 = 250.1", "bob_mass_g = -250",
			"line 9: bob_mass_g = -250: must not be negative"},
		{"unknown key", "air_C          = 20.5", "air_temp_C = 20.5", "line 27: air_temp_C: there is no such key"},
		{"misspelt key", "bob_length_mm              = 62", "bob_lenght_mm = 62", "line 11: bob_lenght_mm: there is no such key; did you mean bob_length_mm?"},
		{"wrong type", "baud = 115200", `baud = "fast"`, "line"},
		{"decimal comma", "air_C          = 20.5", "air_C = 20,5 # of the wall", "line 27: numbers are written with a point: air_C = 20,5"},
		{"not TOML", "baud = 115200", "baud = = 3", "line 51"},
		{"missing", "spring_rate_N_m            = 24.6", "", "spring_rate_N_m is missing"},
		{"bob longer than the support is high", "bob_length_mm              = 62", "bob_length_mm = 900", "spring and bob together are 1.018 m long"},
		{"not finite", "air_C          = 20.5", "air_C = nan", "air_C = NaN: must be a finite number"},
		{"kelvin", "air_C          = 20.5", "air_C = 293", "air temperature = 293"},
		{"mounting", `distance_mounting    = "floor"`, `distance_mounting = "wall"`, `distance mounting "wall"`},
		{"noiseless", "distance_noise_mm    = 1.5", "distance_noise_mm = 0", "line 36: distance_noise_mm = 0"},
		{"a section", "baud = 115200", "baud = 115200\n[extra]\nx = 1", "line 52: extra: there is no such key"},
		{"curve without forces", "baud = 115200", "spring_curve_mm = [20, 40, 60]", "line 51: impossible apparatus: spring curve has 3 extensions and 0 forces"},
		{"curve falls", "baud = 115200", "spring_curve_mm = [20, 40, 60]\nspring_curve_N = [0.5, 0.4, 1.5]", "spring curve, point 2: force 0.4 N: must rise"},
		{"lag", "baud = 115200", "motion_lag_ms = 80", "line 51: motion_lag_ms = 80"},
	} {
		t.Run(c.name, func(t *testing.T) {
			if !strings.Contains(text, c.old) {
				t.Fatalf("the example has no %q", c.old)
			}
			_, err := Parse(strings.Replace(text, c.old, c.new, 1))
			if err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("Parse() = %v, want an error saying %q", err, c.want)
			}
		})
	}
}

// A curve is told as loads and extensions; the bob then hangs where the curve says.
func TestSpringCurve(t *testing.T) {
	f, err := Parse(severn(t) + "\nspring_curve_mm = [20, 100, 120, 200]\nspring_curve_N = [0.5, 2.3, 2.6, 5.0]\n")
	if err != nil {
		t.Fatal(err)
	}
	a := f.Bench.Apparatus
	load := a.Bob.Mass.Value * a.Gravity.Value
	want := 0.100 + 0.020*(load-2.3)/(2.6-2.3)
	if got := a.Equilibrium(); math.Abs(got-want) > 1e-9 {
		t.Errorf("equilibrium under %g N = %g m, want %g m", load, got, want)
	}
	if text := f.Summary(); !strings.Contains(text, "departs from that line") {
		t.Errorf("summary does not tell of the curve:\n%s", text)
	}
}

// What is laid over a bench is checked as if it stood in its file, and what is picked
// from it goes by the same keys and units.
func TestLayAndPick(t *testing.T) {
	f, err := Parse(severn(t))
	if err != nil {
		t.Fatal(err)
	}
	laid, err := f.Lay(map[string]any{"spring_rate_N_m": 25.1, "force_delay_ms": 24.0, "force_zero_counts": int64(-18000)})
	if err != nil {
		t.Fatal(err)
	}
	got := laid.Pick("spring_rate_N_m", "force_delay_ms", "force_zero_counts", "bob_mass_g", "port")
	for key, want := range map[string]float64{"spring_rate_N_m": 25.1, "force_delay_ms": 24, "force_zero_counts": -18000, "bob_mass_g": 250.1} {
		if math.Abs(got[key]-want) > 1e-9 {
			t.Errorf("%s = %g, want %g", key, got[key], want)
		}
	}
	if len(got) != 4 {
		t.Errorf("picked %v, want the numbers only", got)
	}
	if f.Bench.Apparatus.Spring.Rate.Value != 24.6 {
		t.Error("the bench itself was changed")
	}
	for value, want := range map[any]string{-1.0: "spring_rate_N_m = -1: must be positive", "fast": "spring_rate_N_m"} {
		if _, err := f.Lay(map[string]any{"spring_rate_N_m": value}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Lay(%v) = %v, want %q", value, err, want)
		}
	}
}

func TestImpossibleApparatusIsTyped(t *testing.T) {
	_, err := Parse(strings.Replace(severn(t), "bob_mass_g                 = 250.1", "bob_mass_g = 0", 1))
	if !errors.Is(err, energy.ErrImpossible) {
		t.Errorf("Parse() = %v, want ErrImpossible", err)
	}
}

func TestLoadOfMissingFile(t *testing.T) {
	if _, err := Load("no-such.toml"); err == nil || !strings.Contains(err.Error(), "no-such.toml: there is no such file") {
		t.Errorf("Load() = %v", err)
	}
}

// FuzzParse: whatever the text, an accepted bench can exist.
func FuzzParse(f *testing.F) {
	text, err := os.ReadFile("../../testdata/benches/severn.toml")
	if err != nil {
		f.Fatal(err)
	}
	f.Add(string(text))
	f.Add("bob_mass_g = 1")
	f.Add("[a]\nb = 1e999")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := Parse(text)
		if err != nil {
			return
		}
		if err := c.Bench.Apparatus.Check(); err != nil {
			t.Errorf("accepted an impossible apparatus: %v", err)
		}
	})
}
