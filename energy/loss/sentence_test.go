package loss

import (
	"testing"

	"joulewell/energy"
)

func TestVerdictInWords(t *testing.T) {
	for _, c := range []struct {
		name           string
		lost, u, swing float64
		want           string
	}{
		{"lost", 0.034, 0.0105, 2.84, "lost 34 mJ ± 21 mJ (k = 2) of the swing's 2.84 J"},
		{"lost, finer", 0.0341234, 0.00044, 0.12, "lost 34.12 mJ ± 0.88 mJ (k = 2) of the swing's 120 mJ"},
		{"lost much", 1.2345, 0.105, 2.84, "lost 1.23 J ± 0.21 J (k = 2) of the swing's 2.84 J"},
		{"digits carry", 0.5, 0.0498, 2, "lost 0.50 J ± 0.10 J (k = 2) of the swing's 2.00 J"},
		{"seen nothing", 0.004, 0.0105, 2.84, "no loss seen above 25 mJ of the swing's 2.84 J: 4 mJ ± 21 mJ (k = 2)"},
		{"seen nothing, below zero", -0.004, 0.0105, 2.84, "no loss seen above 21 mJ of the swing's 2.84 J: -4 mJ ± 21 mJ (k = 2)"},
		{"no minus before zero", -0.0001, 0.0105, 2.84, "no loss seen above 21 mJ of the swing's 2.84 J: 0 mJ ± 21 mJ (k = 2)"},
		{"coarse", 0.004, 0.11, 2.84, "no loss seen above 0.22 J of the swing's 2.84 J: 0.00 J ± 0.22 J (k = 2)"},
		{"gained", -0.034, 0.0105, 2.84, "gained 34 mJ ± 21 mJ (k = 2) on the swing's 2.84 J: look for a push, a wrong rate or a sensor that drifts"},
		{"microjoules", 3.4e-5, 2e-6, 0.0012, "lost 34.0 µJ ± 4.0 µJ (k = 2) of the swing's 1.20 mJ"},
	} {
		if got := verdict(energy.Estimate{Value: c.lost, U: c.u}, c.swing); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

func TestPercent(t *testing.T) {
	for share, want := range map[float64]string{0.1234: "12 %", 0.0123: "1.2 %", 0.00034: "0.10 %", 1: "100 %", 0.00996: "1.0 %"} {
		if got := percent(share); got != want {
			t.Errorf("percent(%g) = %q, want %q", share, got, want)
		}
	}
}
