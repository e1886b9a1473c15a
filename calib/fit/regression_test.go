package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// design returns the rows of a polynomial model and the readings.
func design(p []Point, degree int) (rows [][]float64, y, u []float64) {
	for _, q := range p {
		row := make([]float64, degree+1)
		for k := range row {
			row[k] = math.Pow(q.X, float64(k))
		}
		rows, y, u = append(rows, row), append(y, q.Y), append(u, q.UY)
	}
	return rows, y, u
}

// Norris, NIST Statistical Reference Datasets: certified values.
func TestScatteredNorris(t *testing.T) {
	rows, y, u := design(points(table(t, "norris.csv"), 1, 0), 1)
	r, err := Scattered(rows, y, u, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "b0", r.Values[0], -0.262323073774029, 1e-9)
	near(t, "b1", r.Values[1], 1.00211681802045, 1e-11)
	near(t, "u(b0)", r.U(0), 0.232818234301152, 1e-8)
	near(t, "u(b1)", r.U(1), 0.429796848199937e-3, 1e-8)
	near(t, "s", r.Scatter, 0.884796396144373, 1e-8)
	near(t, "degrees of freedom", r.Freedom(1), 34, 1e-9)
}

// ISO/TS 28037:2010, first worked example, recomputed exactly.
func TestStatedISO28037(t *testing.T) {
	var p []Point
	for i, y := range []float64{3.3, 5.6, 7.1, 9.3, 10.7, 12.1} {
		p = append(p, Point{X: float64(i + 1), Y: y, UY: 0.5})
	}
	rows, y, u := design(p, 1)
	r, err := Stated(rows, y, u, nil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a", r.Values[0], 1.8666666666666667, 1e-12)
	near(t, "u(b)", r.U(1), 0.11952286093343936, 1e-12)
	near(t, "covariance", r.Covariance()[0][1], -0.05, 1e-12)
	near(t, "chi squared", r.SumSquares, 1.6647619047619047, 1e-11)
	h := r.SumSquares / 2
	near(t, "agreement", r.Agreement(), math.Exp(-h)*(1+h), 1e-12) // in closed form for 4 degrees of freedom
}

// A source that acts as a coefficient does adds to its uncertainty and moves nothing;
// one that hits a single reading is as if that reading were so much less sure.
func TestSourcesInClosedForm(t *testing.T) {
	p := []Point{{X: 1, Y: 2.1, UY: 0.1}, {X: 2, Y: 3.8, UY: 0.1}, {X: 3, Y: 6.3, UY: 0.1}, {X: 5, Y: 9.7, UY: 0.1}}
	rows, y, u := design(p, 1)
	plain, err := Stated(rows, y, u, nil)
	if err != nil {
		t.Fatal(err)
	}
	tilted, err := Stated(rows, y, u, []Source{{"tilt", []float64{0.3, 0.6, 0.9, 1.5}}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", tilted.Values[1], plain.Values[1], 1e-10)
	near(t, "u(slope)", tilted.U(1), math.Hypot(plain.U(1), 0.3), 1e-10)
	near(t, "u(intercept)", tilted.U(0), plain.U(0), 1e-9)
	near(t, "chi squared", tilted.SumSquares, plain.SumSquares, 1e-9)

	single, err := Stated(rows, y, u, []Source{{"last", []float64{0, 0, 0, 0.2}}})
	if err != nil {
		t.Fatal(err)
	}
	p[3].UY = math.Hypot(0.1, 0.2)
	weighted, err := Weighted(p, Line)
	if err != nil {
		t.Fatal(err)
	}
	for k := range 2 {
		near(t, "coefficient", single.Values[k], weighted.Coefficients[k], 1e-10)
		near(t, "its uncertainty", single.U(k), weighted.U(k), 1e-10)
	}
	near(t, "chi squared", single.SumSquares, weighted.SumSquares, 1e-10)
}

// Intervals of readings with unknown scatter and shared sources hold the truth as often
// as they say.
func TestScatteredCoverage(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 1))
	const sets = 1500
	held := 0
	for range sets {
		shared := []float64{r.NormFloat64(), r.NormFloat64(), r.NormFloat64()}
		var rows [][]float64
		var y []float64
		sources := []Source{{"a", nil}, {"b", nil}, {"slope", nil}}
		for i := range 9 {
			x := float64(i)
			effects := []float64{0.5 * float64(i%2), 0.3 * float64(i%3), 0.02 * x}
			v := 1 + 2*x + 0.4*r.NormFloat64()
			for s := range sources {
				sources[s].Effects = append(sources[s].Effects, effects[s])
				v += effects[s] * shared[s]
			}
			rows, y = append(rows, []float64{1, x}), append(y, v)
		}
		got, err := Scattered(rows, y, make([]float64, len(y)), sources)
		if err != nil {
			t.Fatal(err)
		}
		half, err := got.Expanded(1, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Values[1]-2) <= half {
			held++
		}
	}
	if share := float64(held) / sets; share < 0.935 || share > 0.965 {
		t.Errorf("95 %% intervals hold the truth in %.1f %%", 100*share)
	}
}

// Inputs that results share cancel from their difference; formulas carry them on.
func TestJoint(t *testing.T) {
	a := Joint{Values: []float64{10, 2}, Own: [][]float64{{0.04, 0.01}, {0.01, 0.09}}, DoF: math.Inf(1),
		Sources: []Source{{"g", []float64{0.3, 0}}, {"m", []float64{0.1, 0.2}}}}
	near(t, "u", a.U(0), math.Sqrt(0.04+0.09+0.01), 1e-12)
	near(t, "covariance", a.Covariance()[0][1], 0.01+0.02, 1e-12)
	product := a.Through(func(x []float64) []float64 { return []float64{x[0] * x[1]} })
	// GUM 5.2.2: c1 = 2, c2 = 10
	want := 4*0.14 + 100*(0.09+0.04) + 2*2*10*0.03
	near(t, "u of product", product.U(0), math.Sqrt(want), 1e-9)

	b := Joint{Values: []float64{10.5}, Own: [][]float64{{0.05}}, DoF: math.Inf(1), Sources: []Source{{"g", []float64{0.3}}}}
	en, err := NormalisedDifference(&a, 0, &b, 0, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "E_n", en, -0.5/(1.959963984540054*math.Sqrt(0.04+0.01+0.05)), 1e-9)

	more := a.With("g", 5, 0.7)
	near(t, "shared with what was there", more.Covariance()[0][2], 0.3*0.7, 1e-12)
	more = a.With("new", 5, 0.7)
	near(t, "shared with nothing", more.Covariance()[0][2], 0, 0)
	near(t, "its own", more.U(2), 0.7, 1e-12)
	near(t, "what was there", more.U(0), a.U(0), 1e-12)

	seen := a.Scaled(2, 6)
	near(t, "scaled", seen.U(0), math.Sqrt(4*0.04+0.1), 1e-12)
	// GUM G.4.1: u^4/(u_own^4/dof)
	near(t, "degrees of freedom", seen.Freedom(0), 6*0.26*0.26/(0.16*0.16), 1e-12)

	none := Joint{Values: []float64{1}, Own: [][]float64{{0}}, DoF: math.Inf(1)}
	_, err = NormalisedDifference(&none, 0, &none, 0, 0.95)
	refused(t, err, "uncertainty of its own")
}

func TestRegressionRefusals(t *testing.T) {
	rows := [][]float64{{1, 1}, {1, 2}, {1, 3}}
	y, u := []float64{1, 2, 3}, []float64{1, 1, 1}
	_, err := Stated(rows, y, []float64{1, 0, 1}, nil)
	refused(t, err, "reading 2", "zero")
	_, err = Stated(rows, []float64{1, math.NaN(), 3}, u, nil)
	refused(t, err, "reading 2", "NaN")
	_, err = Stated([][]float64{{1, 2}, {1, 2}, {1, 2}}, y, u, nil)
	refused(t, err, "tell 2 coefficients apart")
	_, err = Stated(rows, y, u, []Source{{"short", []float64{1}}})
	refused(t, err, `source "short"`)
	_, err = Stated(rows[:1], y[:1], u[:1], nil)
	refused(t, err, "1 readings for 2")
	_, err = Scattered(rows[:2], y[:2], u[:2], nil)
	refused(t, err, "at least 3")
	_, err = Scattered(rows, y[:2], u, nil)
	refused(t, err, "2 readings")
	_, err = Scattered([][]float64{{1, 1}, {1}, {1, 3}}, y, u, nil)
	refused(t, err, "row 2")
	_, err = Scattered(rows, make([]float64, 3), u, nil)
	refused(t, err, "all readings are zero")
}

// A source that could explain how readings scatter of which nothing is stated need not have
// done it: they keep the scatter of ordinary least squares, and the zero, which no source
// touches, is not known to the last digit.
func TestScatterThatASourceCouldExplain(t *testing.T) {
	rows := [][]float64{{1, 0}, {1, 1}, {1, 2}, {1, 3}, {1, 4}}
	y := []float64{0, 1.02, 2.01, 3, 3.99}
	plain, err := Scattered(rows, y, make([]float64, 5), nil)
	if err != nil {
		t.Fatal(err)
	}
	var sources []Source
	for i := 1; i < len(y); i++ {
		effect := make([]float64, len(y))
		effect[i] = 0.1
		sources = append(sources, Source{Name: "piece " + string(rune('A'+i)), Effects: effect})
	}
	r, err := Scattered(rows, y, make([]float64, 5), sources)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(r.Scatter/plain.Scatter-1) > 1e-12 || !(r.U(0) > plain.Scatter/2) {
		t.Errorf("scatter %g, zero known to %g; without sources %g", r.Scatter, r.U(0), plain.Scatter)
	}
}
