package quantity

import (
	"math"
	"strings"
	"testing"

	"joulewell/energy"
)

func at(kind Kind, value, u float64) Quantity {
	return Known(kind, energy.Estimate{Value: value, U: u})
}

// Normal gravity of the Geodetic Reference System 1980: at equator, 45 deg and pole
// Moritz, Geodetic Reference System 1980, Journal of Geodesy 74 (2000); the others from
// its defining constants at 40 digits outside this project.
func TestGravity(t *testing.T) {
	for _, c := range []struct{ latitude, height, want float64 }{
		{0, 0, 9.780326771535}, {30, 0, 9.793248703608}, {45, 0, 9.806199202523}, {60, 0, 9.819178385020},
		{90, 0, 9.832186368520}, {-45, 0, 9.806199202523}, {45, 1000, 9.80311437625}, {30, 2000, 9.78707834731},
		{60, 100, 9.818869945091},
	} {
		g, err := Gravity(at(Angle, c.latitude*degree, 0), at(Length, c.height, 0))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "gravity", g.Value, c.want, 1e-9)
		near(t, "uncertainty", g.U, 5e-5*g.Value, 1e-9)
		if g.How != Place || !math.IsInf(g.DoF, 1) || g.Kind != Acceleration {
			t.Errorf("got %+v", g)
		}
	}
}

// The pendulums of the National Bureau of Standards, Washington, 1934-35, gave 980.0786
// cm/s2; latitude and height of the place from memory.
func TestGravityAtARealPlace(t *testing.T) {
	g, err := Gravity(at(Angle, 38.943*degree, 0), at(Length, 100, 0))
	if err != nil {
		t.Fatal(err)
	}
	if off := math.Abs(g.Value - 9.800786); off > 2*g.U {
		t.Errorf("gravity %.6f ± %.6f m/s2 misses the pendulums by %.2g", g.Value, g.U, off)
	}
}

// A degree of latitude at 45 deg is worth 0.052 sin 2L times pi/180 = 9.0e-4 m/s2, a
// hundred metres of height 3.1e-4 m/s2 (common practice).
func TestGravityOfAVaguePlace(t *testing.T) {
	g, _ := Gravity(at(Angle, 45*degree, degree), at(Length, 0, 0))
	near(t, "u by latitude", math.Sqrt(g.U*g.U-math.Pow(5e-5*g.Value, 2)), 9.0e-4, 0.2e-4)
	g, _ = Gravity(at(Angle, 45*degree, 0), at(Length, 0, 100))
	near(t, "u by height", math.Sqrt(g.U*g.U-math.Pow(5e-5*g.Value, 2)), 3.086e-4, 1e-7)
}

func TestGravityRefuses(t *testing.T) {
	for _, c := range []struct {
		latitude, height float64
		want             string
	}{{91, 0, "latitude 91 deg"}, {math.NaN(), 0, "latitude NaN"}, {45, 10000, "altitude 10000 m"}, {45, -600, "altitude -600 m"}} {
		_, err := Gravity(at(Angle, c.latitude*degree, 0), at(Length, c.height, 0))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%g deg, %g m: %v", c.latitude, c.height, err)
		}
	}
}

// Standard gravity must cover what the ground has to offer at sea level.
func TestStandardGravity(t *testing.T) {
	g := StandardGravity()
	half := g.U * math.Sqrt(3)
	if g.Value != 9.80665 || g.Value-half > 9.7803 || g.Value+half < 9.8322 || half > 0.03 || g.How != Convention {
		t.Errorf("standard gravity %+v", g)
	}
}
