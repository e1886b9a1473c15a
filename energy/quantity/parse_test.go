package quantity

import (
	"math"
	"strings"
	"testing"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.15g, want %.15g within %.2g", what, got, want, tol)
	}
}

// Rectangular bounds a to either side have u = a/sqrt 3 (GUM 4.3.7): half a unit of the
// last digit, half a division. A stated U with coverage factor k has u = U/k (GUM 4.3.3).
func TestParse(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		text  string
		kind  Kind
		value float64
		u     float64
		how   How
		dof   float64
	}{
		{"71.2cm", Length, 0.712, 0.0005 / math.Sqrt(3), LastDigit, inf},
		{"71,2 cm", Length, 0.712, 0.0005 / math.Sqrt(3), LastDigit, inf},
		{" 712mm ", Length, 0.712, 0.0005 / math.Sqrt(3), LastDigit, inf},
		{"0.7120 m", Length, 0.712, 0.00005 / math.Sqrt(3), LastDigit, inf},
		{"1,234 m", Length, 1.234, 0.0005 / math.Sqrt(3), LastDigit, inf},
		{"200g", Mass, 0.2, 0.0005 / math.Sqrt(3), LastDigit, inf},
		{".25 kg", Mass, 0.25, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"2.5e2 g", Mass, 0.25, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"0mm", Length, 0, 0.0005 / math.Sqrt(3), LastDigit, inf},
		{"-3.0 mm", Length, -0.003, 0.00005 / math.Sqrt(3), LastDigit, inf},
		{"−3.0 mm", Length, -0.003, 0.00005 / math.Sqrt(3), LastDigit, inf},
		{"71.23 cm read to 5mm", Length, 0.7123, 0.0025 / math.Sqrt(3), ReadTo, inf},
		{"71.2cm Read  To 0,1cm", Length, 0.712, 0.0005 / math.Sqrt(3), ReadTo, inf},
		{"71.2cm +-0.5mm", Length, 0.712, 0.0005, Stated, inf},
		{"71.2cm ± 0.5 mm", Length, 0.712, 0.0005, Stated, inf},
		{"71.2 +/- 0.05 cm", Length, 0.712, 0.0005, Stated, inf},
		{"250.10g +- 0.02g k=2", Mass, 0.2501, 1e-5, Stated, inf},
		{"250.10 +- 0.02 g k = 2.1 dof=11", Mass, 0.2501, 2e-5 / 2.1, Stated, 11},
		{"24.9N/m+-0.1N/m dof=4", Rate, 24.9, 0.1, Stated, 4},
		{"24.9 N/m +- 1%", Rate, 24.9, 0.249, Stated, inf},
		{"-2 N +- 1%", Force, -2, 0.02, Stated, inf},
		{"0.249 N/cm", Rate, 24.9, 0.05 / math.Sqrt(3), LastDigit, inf},
		{"0.02490 N/mm", Rate, 24.9, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"9.81 m/s2", Acceleration, 9.81, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"9.81m/s^2", Acceleration, 9.81, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"9.81 m/s²", Acceleration, 9.81, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"98 cm/s", Speed, 0.98, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"640 ms", Time, 0.64, 0.0005 / math.Sqrt(3), LastDigit, inf},
		{"20.5 °C", Temperature, 20.5, 0.05 / math.Sqrt(3), LastDigit, inf},
		{"20.5 deg C", Temperature, 20.5, 0.05 / math.Sqrt(3), LastDigit, inf},
		{"30 deg", Angle, math.Pi / 6, math.Pi / 360 / math.Sqrt(3), LastDigit, inf},
		{"97%", Ratio, 0.97, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"0.97", Ratio, 0.97, 0.005 / math.Sqrt(3), LastDigit, inf},
		{"1 +- 0.1%", Ratio, 1, 0.001, Stated, inf},
		{"97 % +- 1 %", Ratio, 0.97, 0.01, Stated, inf},
	} {
		t.Run(c.text, func(t *testing.T) {
			q, err := Parse(c.text, c.kind)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "value", q.Value, c.value, 1e-15)
			near(t, "u", q.U, c.u, 1e-12*c.u)
			if q.How != c.how || q.DoF != c.dof || q.Kind != c.kind {
				t.Errorf("%q: %s, %g degrees of freedom, want %s, %g", c.text, q.How, q.DoF, c.how, c.dof)
			}
		})
	}
	if q, _ := Parse("71.2cm", Length); q.Value != 0.712 {
		t.Errorf("71.2cm = %.17g, want the number nearest to 0.712", q.Value)
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		text string
		kind Kind
		want string
	}{
		{"250.1cm", Mass, "cm is a unit of length: a mass is written in g or kg"},
		{"25 N", Rate, "N is a unit of force: a spring rate is written in N/m, N/cm or N/mm"},
		{"71.2", Length, "no unit: a length is written in mm, cm or m"},
		{"71.2 +- 1%", Length, "no unit"},
		{"71.2cm +- 0.5", Length, "after '+-': no unit"},
		{"71.2cm read to 1g", Length, "after 'read to': g is a unit of mass"},
		{"71.2cm read to", Length, "after 'read to': nothing is written there"},
		{"71.2cm +-", Length, "after '+-': nothing is written there"},
		{"71.2 furlong", Length, `"furlong" is not a unit known here`},
		{"about 71 cm", Length, "must begin with a number"},
		{"", Length, "nothing is written there"},
		{"NaN cm", Length, "must begin with a number"},
		{"inf m", Length, "must begin with a number"},
		{"0x10 cm", Length, "not a unit known here"},
		{"1_000 mm", Length, "not a unit known here"},
		{"1,234.5 mm", Length, "more than one decimal sign: write thousands without a mark"},
		{"71.2cm +- 0mm", Length, "the uncertainty is zero: no reading is exact"},
		{"0cm +- 1%", Length, "the uncertainty is zero"},
		{"71.2cm +- -1mm", Length, "the uncertainty is negative"},
		{"71.2cm read to 0mm", Length, "the uncertainty is zero"},
		{"1e999 m", Length, "too large"},
		{"1e-999 m", Length, "the uncertainty is zero"},
		{"24 N/m +- 1 N/m dof=0", Rate, "dof = 0: must be a number, 1 or more"},
		{"24 N/m +- 1 N/m k=two", Rate, "k = two: must be a number, 1 or more"},
		{"250 g +- 1 g k=2 k=2 why", Mass, "not a unit known here"},
		{"250.1 g " + strings.Repeat("and then ", 20), Mass, "..."},
		{"250.1 g " + strings.Repeat("and then ", 50), Mass, "457 characters are no reading"},
		{"1e5000 m", Length, "not a unit known here"},
		{"20 K", Temperature, `"K" is not a unit known here: a temperature is written in C`},
	} {
		t.Run(c.text, func(t *testing.T) {
			q, err := Parse(c.text, c.kind)
			if err == nil {
				t.Fatalf("read as %v", q)
			}
			if !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "read ") {
				t.Errorf("%v, want it to say %q", err, c.want)
			}
		})
	}
}

// What is read is finite and uncertain, does not depend on spaces around it or on the
// decimal sign, and comes back the same when it is written and read again.
func FuzzParse(f *testing.F) {
	for _, s := range []string{
		"71.2cm", "71,2 cm read to 1mm", "250.10 +- 0.02 g k=2 dof=4", "25N/m +-1%", "-1e-3 m/s2", "20 deg C",
		"± 1", "1e999m", "+-", "read to", "0 +- 0 %", "3.mm +/- .1 mm", "−1 N",
	} {
		f.Add(s, byte(Length))
		f.Add(s, byte(Rate))
	}
	f.Fuzz(func(t *testing.T, text string, k byte) {
		kind := Kind(int(k) % len(kinds))
		q, err := Parse(text, kind)
		if err != nil {
			if q != (Quantity{}) || strings.ContainsAny(err.Error(), "\n") && !strings.Contains(text, "\n") {
				t.Errorf("refusal %q came with %v", err, q)
			}
			return
		}
		if math.IsNaN(q.Value) || math.IsInf(q.Value, 0) || !(q.U > 0) || math.IsInf(q.U, 0) || !(q.DoF >= 1) || !q.Given() {
			t.Fatalf("%q was read as %+v", text, q)
		}
		for _, same := range []string{" " + text + "\t", strings.ReplaceAll(text, ".", ",")} {
			if r, err := Parse(same, kind); err != nil || r != q {
				t.Errorf("%q is %+v, but %q is %+v, %v", text, q, same, r, err)
			}
		}
		r, err := Parse(q.String(), kind)
		if err != nil || r.Estimate != q.Estimate || r.DoF != q.DoF {
			t.Errorf("%q was read as %+v, written as %q, read again as %+v, %v", text, q, q.String(), r, err)
		}
		if both := kind.Both(q.Value, q.U); strings.Contains(both, "NaN") || strings.Contains(both, "Inf") {
			t.Errorf("%q is written as %q", text, both)
		}
	})
}
