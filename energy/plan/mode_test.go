package plan

import (
	"math"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.15g, want %.15g within %.2g", what, got, want, tol)
	}
}

// First roots of x tan x = r and the fractions from them, recomputed at 40 digits
// outside this project. The roots to four digits: Essentials of Applied Mathematics for
// Scientists and Engineers (2007), table A.1; its heading gives r the other sign. One
// third for a light spring: Rayleigh, The Theory of Sound, 1877.
func TestEffectiveFraction(t *testing.T) {
	for _, c := range []struct{ ratio, x, fraction float64 }{
		{0.01, 0.0998336385511264, 0.333555027231482},
		{0.05, 0.221760393940944, 0.334431314191621},
		{0.1, 0.311052848200298, 0.335503425315135},
		{0.2, 0.432840719904819, 0.337572396103328},
		{0.25, 0.480094436957391, 0.338570437375372},
		{0.5, 0.653271187094403, 0.343219605536300},
		{1, 0.860333589019380, 0.351033886878379},
		{2, 1.07687398631180, 0.362323512717151},
		{5, 1.31383771649290, 0.379317369336517},
		{10, 1.42887001121408, 0.389795236505146},
		{100, 1.55524512925617, 0.403430297763175},
		{math.Inf(1), math.Pi / 2, 4 / (math.Pi * math.Pi)},
	} {
		near(t, "root", root(c.ratio), c.x, 2e-15*c.x*10)
		near(t, "fraction", EffectiveFraction(c.ratio), c.fraction, 1e-12)
	}
	near(t, "fraction of a massless spring", EffectiveFraction(0), 1./3, 1e-16)
}

// Where the series takes over from the closed form there must be no step, and the
// series must begin as 1/3 + r/45.
func TestEffectiveFractionHasNoStep(t *testing.T) {
	switched := 0.1 * math.Tan(0.1)
	near(t, "step", EffectiveFraction(switched*(1+1e-9)), EffectiveFraction(switched*(1-1e-9)), 1e-11)
	near(t, "slope", (EffectiveFraction(1e-4)-1./3)/1e-4, 1./45, 1e-6)
}
