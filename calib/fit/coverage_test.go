package fit

import (
	"math"
	"testing"
)

// Student's t, JCGM 100:2008 table G.2 = NIST TN 1297 table B.1; digits beyond the
// printed ones from R 4.2. The columns: 68.27, 90, 95, 95.45, 99, 99.73 %.
func TestCoverageTable(t *testing.T) {
	rows := table(t, "t_factors.csv")
	for _, row := range rows {
		for i, p := range []float64{0.6827, 0.90, 0.95, 0.9545, 0.99, 0.9973} {
			k, err := Coverage(p, row[0])
			if err != nil {
				t.Fatal(err)
			}
			near(t, "coverage factor", k, row[i+1], 1e-8)
		}
	}
	if len(rows) < 19 {
		t.Errorf("table has %d rows", len(rows))
	}
	for _, test := range []struct{ p, dof, want float64 }{
		{0.95, 5.5, 2.50185861759}, {0.95, 16.7, 2.11270642066}, // R 4.2
		{0.95, math.Inf(1), 1.959963984540054}, // normal quantile, common tables: 1.96
	} {
		k, err := Coverage(test.p, test.dof)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "coverage factor", k, test.want, 1e-8)
	}
}

// Cauchy's distribution is Student's with one degree of freedom: in closed form t =
// tan(pi p/2). With two: t = p sqrt(2/(1 - p^2)).
func TestCoverageClosedForms(t *testing.T) {
	for p := 0.01; p < 1; p += 0.01 {
		k, err := Coverage(p, 1)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "one degree of freedom", k, math.Tan(math.Pi*p/2), 1e-8)
		if k, err = Coverage(p, 2); err != nil {
			t.Fatal(err)
		}
		near(t, "two degrees of freedom", k, p*math.Sqrt(2/(1-p*p)), 1e-8)
	}
}

func TestCoverageRefusals(t *testing.T) {
	for _, test := range []struct {
		p, dof float64
		word   string
	}{{0, 5, "probability"}, {1, 5, "probability"}, {math.NaN(), 5, "probability"}, {0.95, 0, "degrees"}, {0.95, math.NaN(), "degrees"}} {
		_, err := Coverage(test.p, test.dof)
		refused(t, err, test.word)
	}
}

// Bounds of +-1: variances 1/3, 1/6, 1/2 (GUM 4.3.7, 4.3.9; the last an integral of
// the squared sine).
func TestBounds(t *testing.T) {
	near(t, "rectangular", Rectangular(1)*Rectangular(1), 1.0/3, 1e-15)
	near(t, "triangular", Triangular(1)*Triangular(1), 1.0/6, 1e-15)
	near(t, "arcsine", Arcsine(1)*Arcsine(1), 1.0/2, 1e-15)
}

// However many degrees of freedom, the factor falls smoothly to the normal one, which
// for 95 % is 1.959964 (table of the normal distribution; common practice).
func TestCoverageOfManyDegreesOfFreedom(t *testing.T) {
	for _, dof := range []float64{1e6, 9e7, 2e8, 1e10, 1e15, 1e20, 1e300, math.Inf(1)} {
		k, err := Coverage(0.95, dof)
		if err != nil || math.Abs(k-1.959964) > 5e-6 {
			t.Errorf("coverage factor at %g degrees of freedom = %v, %v; want 1.959964", dof, k, err)
		}
	}
}
