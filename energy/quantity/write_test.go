package quantity

import (
	"encoding/json"
	"os"
	"testing"
)

// Two figures of the uncertainty, and the value to the same place (GUM 7.2.6).
func TestBoth(t *testing.T) {
	for _, c := range []struct {
		kind     Kind
		value, u float64
		want     string
	}{
		{Energy, 0.034, 0.021, "34 mJ ± 21 mJ"},
		{Energy, 2.8412, 0.021, "2.841 J ± 0.021 J"},
		{Energy, 0.034, 0.21, "0.03 J ± 0.21 J"},
		{Energy, 0.034, 0.00213, "34.0 mJ ± 2.1 mJ"},
		{Energy, 0.9996, 0.021, "1.000 J ± 0.021 J"},
		{Energy, 3.4e-5, 2.1e-6, "34.0 µJ ± 2.1 µJ"},
		{Energy, 234, 130, "230 J ± 130 J"},
		{Energy, -0.0001, 0.021, "0 mJ ± 21 mJ"},
		{Length, 0.031, 0.006, "31.0 mm ± 6.0 mm"},
		{Length, 0.031, 0.00996, "31 mm ± 10 mm"},
		{Length, 0.031, 0.2, "0.03 m ± 0.20 m"},
		{Length, 12.3456, 0.0123, "12.346 m ± 0.012 m"},
		{Mass, 0.2501, 0.0001, "250.10 g ± 0.10 g"},
		{Rate, 24.61, 0.1, "24.61 N/m ± 0.10 N/m"},
		{Ratio, 0.971, 0.012, "0.971 ± 0.012"},
		{Angle, 0.5235987755982988, 0.00174532925199, "30.00 deg ± 0.10 deg"},
		{Time, 0.64, 0, "0.64 s ± 0 s"},
	} {
		got := c.kind.Both(c.value, c.u)
		if c.u == 0 {
			got = c.kind.Text(c.value, 0) + " ± 0 s"
		}
		if got != c.want {
			t.Errorf("%g and %g: %q, want %q", c.value, c.u, got, c.want)
		}
	}
}

func TestText(t *testing.T) {
	for _, c := range []struct {
		kind        Kind
		value, fine float64
		want        string
	}{
		{Acceleration, 9.80665, 0, "9.80665 m/s2"},
		{Length, 0.118, 0.00029, "118.00 mm"},
		{Force, 0, 0, "0 N"},
		{Energy, 0.4984, 0.025, "498 mJ"},
	} {
		if got := c.kind.Text(c.value, c.fine); got != c.want {
			t.Errorf("%g to %g: %q, want %q", c.value, c.fine, got, c.want)
		}
	}
}

// The program and its pages round alike: the same cases are held against the pages' own
// code by webui/pages_test.
func TestRoundedAsOnThePages(t *testing.T) {
	text, err := os.ReadFile("../../testdata/rounding.json")
	if err != nil {
		t.Fatal(err)
	}
	var cases []struct {
		Value, U  float64
		ValueText string `json:"value_text"`
		UText     string `json:"u_text"`
	}
	if err := json.Unmarshal(text, &cases); err != nil || len(cases) == 0 {
		t.Fatal(len(cases), err)
	}
	for _, c := range cases {
		if got, want := PlusMinus(c.Value, c.U), c.ValueText+" ± "+c.UText; got != want {
			t.Errorf("%g and %g: %s, want %s", c.Value, c.U, got, want)
		}
	}
}

// So many figures, whatever the unit; what rounds up to one more digit loses none.
func TestRough(t *testing.T) {
	for _, c := range []struct {
		value   float64
		figures int
		want    string
	}{
		{2.8412, 3, "2.84 J"}, {2, 3, "2.00 J"}, {0.12, 3, "120 mJ"}, {0.0012, 3, "1.20 mJ"}, {0.9964, 3, "996 mJ"}, {0.99961, 3, "1.00 J"},
		{0.0249, 2, "25 mJ"}, {0.22, 2, "0.22 J"}, {3.4e-5, 2, "34 µJ"}, {-0.034, 2, "-34 mJ"}, {0, 2, "0 µJ"},
	} {
		if got := Energy.Rough(c.value, c.figures); got != c.want {
			t.Errorf("%g J to %d figures: %q, want %q", c.value, c.figures, got, c.want)
		}
	}
}

func TestCount(t *testing.T) {
	for n, want := range map[int]string{0: "0 records", 1: "1 record", 2: "2 records"} {
		if got := Count(n, "record"); got != want {
			t.Errorf("%d: %q", n, got)
		}
	}
}
