package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Certified values of the NIST Statistical Reference Datasets, linear regression; the
// covariance of Norris was recomputed in exact rationals.
func TestOrdinaryCertified(t *testing.T) {
	var noInt1 []Point
	for i := range 11 {
		noInt1 = append(noInt1, Point{X: float64(60 + i), Y: float64(130 + i)})
	}
	for _, test := range []struct {
		name            string
		points          []Point
		model           Model
		coefficients, u []float64
		scatter, r2     float64
	}{
		{"Norris", points(table(t, "norris.csv"), 1, 0), Line,
			[]float64{-0.262323073774029, 1.00211681802045},
			[]float64{0.232818234301152, 0.429796848199937e-3},
			0.884796396144373, 0.999993745883712},
		{"Pontius", points(table(t, "pontius.csv"), 1, 0), Quadratic,
			[]float64{0.673565789473684e-3, 0.732059160401003e-6, -0.316081871345029e-14},
			[]float64{0.107938612033077e-3, 0.157817399981659e-9, 0.486652849992036e-16},
			0.205177424076185e-3, 0.999999900178537},
		{"NoInt1", noInt1, OriginLine,
			[]float64{0, 2.07438016528926},
			[]float64{0, 0.0165289256198347},
			3.56753034006338, 0.999365492298663},
	} {
		c, err := Ordinary(test.points, test.model)
		if err != nil {
			t.Fatal(err)
		}
		for k := range test.coefficients {
			near(t, test.name+" coefficient", c.Coefficients[k], test.coefficients[k], 1e-12)
			near(t, test.name+" its uncertainty", c.U(k), test.u[k], 1e-12)
		}
		near(t, test.name+" scatter", c.Scatter, test.scatter, 1e-12)
		near(t, test.name+" R squared", c.RSquared, test.r2, 1e-14)
	}
	norris, err := Ordinary(points(table(t, "norris.csv"), 1, 0), Line)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "Norris covariance", norris.Covariance[0][1], -7.743275363156437e-05, 1e-11)
	near(t, "Norris sum of squares", norris.SumSquares, 26.6173985294224, 1e-12)
}

// A straight line on Pontius' loads scatters ten times more (recomputed exactly:
// 2.1712725960567505e-3): the curvature must be detected.
func TestCurvature(t *testing.T) {
	p := points(table(t, "pontius.csv"), 1, 0)
	line, err := Ordinary(p, Line)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "scatter about the line", line.Scatter, 2.1712725960567505e-3, 1e-11)
	bent, err := Ordinary(p, Quadratic)
	if err != nil {
		t.Fatal(err)
	}
	f, probability, err := Curvature(&line, &bent)
	if err != nil {
		t.Fatal(err)
	}
	// With one coefficient more F is the square of its t value: an identity.
	near(t, "F", f, math.Pow(bent.Coefficients[2]/bent.U(2), 2), 1e-9)
	if probability > 1e-12 {
		t.Errorf("probability %g: curvature not seen", probability)
	}

	// Of straight data about one set in twenty looks bent at 5 %.
	r := rand.New(rand.NewPCG(1, 1))
	bentSets := 0
	for range 1000 {
		for i := range p {
			p[i].Y = p[i].X/1e6 + 0.01*r.NormFloat64()
		}
		line, _ := Ordinary(p, Line)
		bent, _ := Ordinary(p, Quadratic)
		if _, q, err := Curvature(&line, &bent); err != nil || q < 0.05 {
			bentSets++
		}
	}
	if bentSets < 30 || bentSets > 71 { // 50 plus or minus 3 standard deviations
		t.Errorf("%d of 1000 straight sets look bent at 5 %%", bentSets)
	}
	_, _, err = Curvature(&bent, &line)
	refused(t, err, "more coefficients")
}

// JCGM 100:2008, annex H.3: b = y1 + y2 (t - 20), printed values and their digits
// recomputed exactly.
func TestThermometerH3(t *testing.T) {
	p := points(table(t, "gum_h3.csv"), 0, 1)
	for i := range p {
		p[i].X -= 20
	}
	c, err := Ordinary(p, Line)
	if err != nil {
		t.Fatal(err)
	}
	at30, u30 := c.At(10, 0)
	for _, test := range []struct {
		name                string
		got, full, printed  float64
		printedHalfLastUnit float64
	}{
		{"y1", c.Coefficients[0], -0.17120379013134998, -0.1712, 0.5e-4},
		{"u(y1)", c.U(0), 0.0028775978351599537, 0.0029, 0.5e-4},
		{"y2", c.Coefficients[1], 0.002182697739887278, 0.00218, 0.5e-5},
		{"u(y2)", c.U(1), 0.0006679387732278317, 0.00067, 0.5e-5},
		{"correlation", c.Correlation(0, 1), -0.9304296030934459, -0.930, 0.5e-3},
		{"scatter", c.Scatter, 0.003497563963505284, 0.0035, 0.5e-4},
		{"b at 30 C", at30, -0.1493768127324772, -0.1494, 0.5e-4},
		{"u of it", u30, 0.004138595752854948, 0.0041, 0.5e-4},
	} {
		near(t, test.name, test.got, test.full, 1e-10)
		if math.Abs(test.got-test.printed) > test.printedHalfLastUnit {
			t.Errorf("%s = %g, printed %g", test.name, test.got, test.printed)
		}
	}
	near(t, "degrees of freedom", float64(c.DoF), 9, 0)
}

// ISO/TS 28037:2010, first worked example, recomputed exactly; printed for the
// inverse: 4.913 with 0.322.
func TestWeightedISO28037(t *testing.T) {
	var p []Point
	for i, y := range []float64{3.3, 5.6, 7.1, 9.3, 10.7, 12.1} {
		p = append(p, Point{X: float64(i + 1), Y: y, UY: 0.5})
	}
	c, err := Weighted(p, Line)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "a", c.Coefficients[0], 1.8666666666666667, 1e-12)
	near(t, "b", c.Coefficients[1], 1.7571428571428571, 1e-12)
	near(t, "u(a)", c.U(0), 0.4654746681256314, 1e-12)
	near(t, "u(b)", c.U(1), 0.11952286093343936, 1e-12)
	near(t, "covariance", c.Covariance[0][1], -0.05, 1e-12)
	near(t, "chi squared", c.SumSquares, 1.6647619047619047, 1e-11)
	// Chi-squared probability of four degrees of freedom in closed form:
	// exp(-h)(1 + h), h = chi squared/2.
	h := c.SumSquares / 2
	near(t, "agreement", c.Agreement(), math.Exp(-h)*(1+h), 1e-12)

	x, u, err := c.Inverse(10.5, 0.5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "x0", x, 4.913279132791328, 1e-12)
	near(t, "u(x0)", u, 0.32203556012891005, 1e-12)
}

// Weights count as repeats do: a point with half the uncertainty is worth four.
func TestWeightsAreRepeats(t *testing.T) {
	p := []Point{{X: 1, Y: 2.1, UY: 0.2}, {X: 2, Y: 3.9, UY: 0.1}, {X: 4, Y: 8.3, UY: 0.2}, {X: 7, Y: 13.8, UY: 0.1}}
	repeated := []Point{}
	for _, q := range p {
		for range int(math.Round(0.04 / (q.UY * q.UY))) {
			repeated = append(repeated, Point{X: q.X, Y: q.Y, UY: 0.2})
		}
	}
	for _, m := range []Model{Line, Quadratic, OriginLine, {Degree: 3}, {Degree: 2, Origin: true}} {
		a, err := Weighted(p, m)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Weighted(repeated, m)
		if err != nil {
			t.Fatal(err)
		}
		for k := m.first(); k <= m.Degree; k++ {
			near(t, "coefficient", a.Coefficients[k], b.Coefficients[k], 1e-9)
			near(t, "its uncertainty", a.U(k), b.U(k), 1e-9)
		}
	}
}

// Stated uncertainties of coefficients and predictions, held against the scatter of
// repeated seeded fits.
func TestFitUncertaintyMonteCarlo(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 1))
	truth := []float64{0.3, -1.1, 0.4}
	const sigma, sets = 0.05, 4000
	var first Curve
	var b1, at, difference []float64
	for range sets {
		var p []Point
		for i := range 12 {
			x := 5 + 0.3*float64(i)
			p = append(p, Point{X: x, Y: truth[0] + x*(truth[1]+x*truth[2]) + sigma*r.NormFloat64(), UY: sigma})
		}
		c, err := Weighted(p, Quadratic)
		if err != nil {
			t.Fatal(err)
		}
		first = c
		y1, _ := c.At(6, 0)
		y2, _ := c.At(8, 0)
		b1, at, difference = append(b1, c.Coefficients[1]), append(at, y1), append(difference, y2-y1)
	}
	_, u1 := first.At(6, 0)
	_, u2 := first.At(8, 0)
	for _, test := range []struct {
		name   string
		values []float64
		want   float64
	}{
		{"b1", b1, first.U(1)},
		{"prediction", at, u1},
		{"difference", difference, math.Sqrt(u1*u1 + u2*u2 - 2*first.Between(6, 8))},
	} {
		got, err := Repeat(test.values)
		if err != nil {
			t.Fatal(err)
		}
		near(t, test.name+" standard deviation", got.SD, test.want, 3/math.Sqrt(2*sets))
	}
}

func TestFitRefusals(t *testing.T) {
	good := []Point{{X: 1, Y: 1, UY: 1}, {X: 2, Y: 2, UY: 1}, {X: 3, Y: 3, UY: 1}}
	with := func(i int, p Point) []Point {
		q := append([]Point(nil), good...)
		q[i] = p
		return q
	}
	for _, test := range []struct {
		name   string
		points []Point
		model  Model
		words  []string
	}{
		{"none", nil, Line, []string{"0 points", "2"}},
		{"one x repeated", []Point{{X: 5, Y: 1, UY: 1}, {X: 5, Y: 2, UY: 1}, {X: 5, Y: 3, UY: 1}}, Line, []string{"1 different x"}},
		{"two x for a quadratic", []Point{{X: 5, UY: 1}, {X: 5, UY: 1}, {X: 6, UY: 1}, {X: 6, UY: 1}}, Quadratic, []string{"2 different x", "3"}},
		{"only the origin", []Point{{X: 0, Y: 1, UY: 1}, {X: 0, Y: 2, UY: 1}}, OriginLine, []string{"different x"}},
		{"NaN", with(1, Point{X: math.NaN(), Y: 1, UY: 1}), Line, []string{"point 2", "NaN"}},
		{"infinite", with(2, Point{X: 1, Y: math.Inf(1), UY: 1}), Line, []string{"point 3", "Inf"}},
		{"negative uncertainty", with(0, Point{X: 1, Y: 1, UY: -1}), Line, []string{"point 1", "positive"}},
		{"impossible correlation", with(0, Point{X: 1, Y: 1, UY: 1, R: 1.5}), Line, []string{"point 1", "1.5"}},
		{"degree", good, Model{Degree: 4}, []string{"degree 4"}},
		{"degree", good, Model{}, []string{"degree 0"}},
	} {
		_, err := Ordinary(test.points, test.model)
		refused(t, err, append(test.words, "ordinary")...)
		_, err = Weighted(test.points, test.model)
		refused(t, err, append(test.words, "weighted")...)
	}
	_, err := Ordinary(good[:2], Line)
	refused(t, err, "2 points", "3")
	_, err = Weighted(with(1, Point{X: 2, Y: 2}), Line)
	refused(t, err, "point 2", "zero")
	_, err = Weighted(with(1, Point{X: 2, Y: 2, UY: 1, UX: 1}), Line)
	refused(t, err, "point 2", "BothAxes")
}

// Points that lie on the curve are followed to the last digits, also where x is large
// beside its spread.
func TestExactCurves(t *testing.T) {
	for _, m := range []Model{Line, Quadratic, {Degree: 3}} {
		var p []Point
		for i := range 9 {
			x := 1e4 + float64(i*i)
			p = append(p, Point{X: x, Y: 2 + 0.5*(x-1e4) - 0.01*math.Pow(x-1e4, float64(m.Degree)), UY: 1})
		}
		for _, fit := range []func([]Point, Model) (Curve, error){Ordinary, Weighted} {
			c, err := fit(p, m)
			if err != nil {
				t.Fatal(err)
			}
			for _, q := range p {
				y, _ := c.At(q.X, 0)
				near(t, "y", y, q.Y, 1e-10)
			}
		}
	}
}
