package fit

import (
	"math"
	"testing"
)

// NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.17.1, data of Tietjen and
// Moore (1972): G 2.4687, one-sided critical value 2.032; digits recomputed.
func TestGrubbsHandbook(t *testing.T) {
	readings := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	test, err := Grubbs(readings, 0.05, Largest)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "G", test.G, 2.46876461121245, 1e-12)
	near(t, "one-sided critical value", test.Critical, 2.031652001549951, 1e-9)
	if test.Index != 7 || !test.Outlier {
		t.Errorf("%+v, want reading 7 as outlier", test)
	}
	if test, err = Grubbs(readings, 0.05, EitherSide); err != nil {
		t.Fatal(err)
	}
	near(t, "two-sided critical value", test.Critical, 2.126645087195628, 1e-9)
	if test, err = Grubbs(readings, 0.05, Smallest); err != nil || test.Index != 0 || test.Outlier {
		t.Errorf("%+v, %v, want reading 0 and no outlier", test, err)
	}
	for i := range readings {
		readings[i] = -readings[i]
	}
	if test, err = Grubbs(readings, 0.05, Smallest); err != nil || test.Index != 7 || !test.Outlier {
		t.Errorf("mirrored: %+v, %v, want reading 7 as outlier", test, err)
	}
	if test, err = Grubbs(readings, 0.05, EitherSide); err != nil || test.Index != 7 || !test.Outlier {
		t.Errorf("mirrored, either side: %+v, %v, want reading 7 as outlier", test, err)
	}
}

// Critical values recomputed to eight digits, see testdata/SOURCES.md.
func TestGrubbsTable(t *testing.T) {
	for _, row := range table(t, "grubbs.csv") {
		readings := make([]float64, int(row[0]))
		readings[0] = 1
		for i, of := range []struct {
			alpha float64
			side  Side
		}{{0.05, Largest}, {0.05, EitherSide}, {0.01, EitherSide}} {
			test, err := Grubbs(readings, of.alpha, of.side)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "critical value", test.Critical, row[i+1], 1e-7)
			// One reading off n - 1 alike ones has G = (n-1)/sqrt n, the largest there is.
			near(t, "G", test.G, (row[0]-1)/math.Sqrt(row[0]), 1e-12)
		}
	}
}

func TestGrubbsRefusals(t *testing.T) {
	_, err := Grubbs([]float64{1, 2}, 0.05, EitherSide)
	refused(t, err, "2 readings", "3")
	_, err = Grubbs([]float64{1, 1, 1}, 0.05, EitherSide)
	refused(t, err, "alike")
	_, err = Grubbs([]float64{1, math.NaN(), 1}, 0.05, EitherSide)
	refused(t, err, "reading 2", "NaN")
	_, err = Grubbs([]float64{1, 2, 3}, 0, EitherSide)
	refused(t, err, "alpha")
	_, err = Repeat([]float64{1})
	refused(t, err, "1 readings", "2")
	_, _, err = Together([]float64{1, 2}, []float64{1, 2, 3})
	refused(t, err, "quantity 2", "together")
	_, _, err = Together([]float64{1, 2}, []float64{1, math.Inf(1)})
	refused(t, err, "quantity 2", "Inf")
}
