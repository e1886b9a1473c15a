package motion

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"
)

// impulseWeights returns the weights with which the points at s enter the value and
// the slope of a fitted polynomial at the given place: its answers to unit impulses.
func impulseWeights(t *testing.T, s []float64, terms int, at float64) (value, slope []float64, p polynomial) {
	t.Helper()
	for i := range s {
		x := make([]float64, len(s))
		x[i] = 1
		if !p.fitTo(s, x, terms) {
			t.Fatalf("fit %d terms to %d points: not determined", terms, len(s))
		}
		value = append(value, p.at(at))
		slope = append(slope, p.slope(at))
	}
	return value, slope, p
}

func grid(points int) (s []float64, step float64) {
	step = 2 / float64(points-1)
	for i := range points {
		s = append(s, -1+float64(i)*step)
	}
	return s, step
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.15g, want %.15g within %.2g", what, got, want, tol)
	}
}

// Savitzky and Golay, Anal. Chem. 36 (1964) 1627, as corrected by Steinier, Termonia
// and Deltour, Anal. Chem. 44 (1972) 1906; exact rationals in testdata/savgol.json.
func TestSavitzkyGolay(t *testing.T) {
	var table struct {
		Weights []struct {
			Points, Degree, Derivative int
			Numerators                 []float64
			Denominator                float64
			Gain                       float64 `json:"noise_gain_squared"`
		}
		Responses []struct {
			Points, Degree int
			Rate           float64 `json:"rate_Hz"`
			F              float64 `json:"f_Hz"`
			Peak           float64 `json:"peak_ratio"`
			Noise          float64 `json:"sigma_v_over_sigma_x"`
		} `json:"velocity_response"`
		End struct {
			Smoothing             []float64
			Denominator           float64
			Derivative            []float64
			DerivativeDenominator float64 `json:"derivative_denominator"`
		} `json:"end_point_5_quadratic"`
	}
	data, err := os.ReadFile("testdata/savgol.json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(data, &table); err != nil {
		t.Fatal(err)
	}

	for _, row := range table.Weights {
		if row.Derivative > 1 {
			continue // curvature is not among our answers
		}
		s, step := grid(row.Points)
		value, slope, p := impulseWeights(t, s, row.Degree+1, 0)
		valueGain, slopeGain, _ := p.gains(0)
		got, gain := value, valueGain
		if row.Derivative == 1 {
			got, gain = slope, slopeGain*step*step
			for i := range got {
				got[i] *= step
			}
		}
		for i, n := range row.Numerators {
			near(t, "weight", got[i], n/row.Denominator, 1e-13)
		}
		near(t, "noise gain squared", gain, row.Gain, 1e-13)
	}

	s, step := grid(5)
	value, slope, _ := impulseWeights(t, s, 3, 1)
	for i := range s {
		near(t, "weight at the last of five points", value[i], table.End.Smoothing[i]/table.End.Denominator, 1e-13)
		near(t, "its slope", slope[i]*step, table.End.Derivative[i]/table.End.DerivativeDenominator, 1e-13)
	}

	for _, row := range table.Responses {
		s, step := grid(row.Points)
		_, slope, p := impulseWeights(t, s, row.Degree+1, 0)
		omega := 2 * math.Pi * row.F / row.Rate / step // per unit of s
		sum := 0.0
		for i := range s {
			sum += slope[i] * math.Sin(omega*s[i])
		}
		near(t, "velocity peak kept", sum/omega, row.Peak, 1e-12)
		_, gain, _ := p.gains(0)
		near(t, "velocity noise", math.Sqrt(gain)*step*row.Rate, row.Noise, 1e-10)
	}
	if len(table.Weights) == 0 || len(table.Responses) == 0 {
		t.Error("table is empty")
	}
}

// A polynomial of each degree is found exactly from points at irregular places.
func TestPolynomialExact(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 7))
	for terms := 2; terms <= maxTerms; terms++ {
		for range 50 {
			var want polynomial
			want.terms = terms
			for i := range terms {
				want.coef[i] = r.NormFloat64()
			}
			s := []float64{-1, 1}
			for len(s) < terms+3 {
				s = append(s, 2*r.Float64()-1)
			}
			x := make([]float64, len(s))
			for i := range s {
				x[i] = want.at(s[i])
			}
			var got polynomial
			if !got.fitTo(s, x, terms) {
				continue // two places nearly alike
			}
			at := 2*r.Float64() - 1
			near(t, "value", got.at(at), want.at(at), 1e-6)
			near(t, "slope", got.slope(at), want.slope(at), 1e-5)
			sum, largest := got.residuals(s, x, make([]float64, len(s)))
			near(t, "residual sum of squares", sum, 0, 1e-12)
			near(t, "largest residual", largest, 0, 1e-12)
		}
	}
}

// Derivatives against differences of the polynomial itself, their variances against
// the sum of the squared weights.
func TestPolynomialDerivatives(t *testing.T) {
	s := []float64{-1, -0.7, -0.5, -0.1, 0.2, 0.25, 0.6, 1}
	const at, h = 0.3, 1e-4
	for terms := 3; terms <= maxTerms; terms++ {
		value, slope, p := impulseWeights(t, s, terms, at)
		near(t, "slope", p.slope(at), (p.at(at+h)-p.at(at-h))/(2*h), 1e-5)
		near(t, "bend", p.bend(at), (p.slope(at+h)-p.slope(at-h))/(2*h), 1e-4)
		var vv, ss, vs, bb float64
		for i := range s {
			x := make([]float64, len(s))
			x[i] = 1
			p.fitTo(s, x, terms)
			vv += value[i] * value[i]
			ss += slope[i] * slope[i]
			vs += value[i] * slope[i]
			bb += p.bend(at) * p.bend(at)
		}
		v, d, both := p.gains(at)
		near(t, "variance of the value", v, vv, 1e-12*vv)
		near(t, "variance of the slope", d, ss, 1e-11*ss)
		near(t, "covariance", both, vs, 1e-10*ss)
		near(t, "variance of the bend", p.bendGain(at), bb, 1e-9*bb)
		near(t, "variance of the slope alone", p.slopeGain(at), d, 1e-12*d)
	}
}

func TestPolynomialNotDetermined(t *testing.T) {
	var p polynomial
	if p.fitTo([]float64{-1, -1, 1, 1, 1}, []float64{1, 2, 3, 4, 5}, 3) {
		t.Error("three terms from two places: determined")
	}
	if p.fitTo([]float64{-1, 0, 1}, []float64{1, 2, 3}, 4) {
		t.Error("four terms from three points: determined")
	}
}
