package fit

import (
	"math"
	"testing"
)

// gaugeBlock are the inputs of JCGM 100:2008, annex H.1, lengths in nm. The last three
// have no sensitivity: a difference of zero, and a temperature of its nominal value.
func gaugeBlock() []Input {
	return []Input{
		{"l_s", 25, 1, 18},
		{"d, repeats", 5.8, 1, 24},
		{"d, random", 3.9, 1, 5},
		{"d, systematic", 6.7, 1, 8},
		{"alpha_s", Rectangular(2e-6), 0, math.Inf(1)},
		{"delta_alpha", Rectangular(1e-6), 5000062.3, 50},
		{"theta, mean", 0.2, 0, math.Inf(1)},
		{"theta, cycle", Arcsine(0.5), 0, math.Inf(1)},
		{"delta_theta", Rectangular(0.05), -575.0071645, 2},
	}
}

// Annex H.1, recomputed; printed u = 32 nm, 16 degrees of freedom, t99(16) = 2.92, U99
// = 93 nm from rounded numbers.
func TestGaugeBlockH1(t *testing.T) {
	b, err := Propagate(gaugeBlock())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u", b.U, 31.663879111008633, 1e-12)
	near(t, "degrees of freedom", b.DoF, 16.75185573762724, 1e-12)
	b.DoF = math.Floor(b.DoF) // as the annex does
	u, k, err := b.Expanded(0.99)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "t99(16)", k, 2.9207816224251, 1e-8)
	near(t, "U99", u, 92.48327620212403, 1e-8)

	d, err := Propagate(gaugeBlock()[1:4])
	if err != nil {
		t.Fatal(err)
	}
	near(t, "degrees of freedom of d", d.DoF, 25.447250777362726, 1e-12)

	sum := 0.0
	for i, c := range b.Inputs {
		sum += c.Share
		if i > 0 && math.Abs(c.Contribution) > math.Abs(b.Inputs[i-1].Contribution) {
			t.Errorf("%q follows a smaller contribution", c.Name)
		}
	}
	near(t, "sum of the shares", sum, 1, 1e-14)
	for i, name := range []string{"l_s", "delta_theta", "d, systematic", "d, repeats", "d, random", "delta_alpha"} {
		if b.Inputs[i].Name != name {
			t.Errorf("line %d of the budget is %q, want %q", i+1, b.Inputs[i].Name, name)
		}
	}
	near(t, "largest contribution but one", math.Abs(b.Inputs[1].Contribution), 16.5990, 1e-5)
}

// Annex H.2: resistance, reactance and impedance from five simultaneous readings,
// recomputed; printed R 127.732 (0.071), X 219.847 (0.295), Z 254.260 (0.236) ohm,
// correlations -0.588, -0.485, 0.993.
func TestImpedanceH2(t *testing.T) {
	means, v, err := Together(
		[]float64{5.007, 4.994, 5.005, 4.990, 4.999},
		[]float64{0.019663, 0.019639, 0.019640, 0.019685, 0.019678},
		[]float64{1.0456, 1.0438, 1.0468, 1.0428, 1.0433})
	if err != nil {
		t.Fatal(err)
	}
	u := make([]float64, 3)
	for i, want := range []struct{ mean, u float64 }{
		{4.999, 0.0032093613071762423}, {0.019661, 9.47100839404126e-06}, {1.04446, 0.0007520638270785266},
	} {
		u[i] = math.Sqrt(v[i][i])
		near(t, "mean", means[i], want.mean, 1e-13)
		near(t, "its uncertainty", u[i], want.u, 1e-11)
	}
	r := func(v [][]float64, i, j int) float64 { return v[i][j] / math.Sqrt(v[i][i]*v[j][j]) }
	near(t, "r(V, I)", r(v, 0, 1), -0.3553112198175105, 1e-9)
	near(t, "r(V, phi)", r(v, 0, 2), 0.8576242108399543, 1e-9)
	near(t, "r(I, phi)", r(v, 1, 2), -0.645111217689245, 1e-9)

	formulas := []func(x []float64) float64{
		func(x []float64) float64 { return x[0] / x[1] * math.Cos(x[2]) },
		func(x []float64) float64 { return x[0] / x[1] * math.Sin(x[2]) },
		func(x []float64) float64 { return x[0] / x[1] },
	}
	var j [][]float64
	for i, want := range []struct{ value, u float64 }{
		{127.73216992810208, 0.07107140739699594}, {219.84651191263842, 0.2955816773586437}, {254.25970194801891, 0.2363361300823795},
	} {
		near(t, "result", formulas[i](means), want.value, 1e-12)
		// Differences over one u are within its square of the derivatives.
		c := Sensitivities(formulas[i], means, u)
		j = append(j, c)
		b, err := Propagate([]Input{{"V", u[0], c[0], 4}, {"I", u[1], c[1], 4}, {"phi", u[2], c[2], 4}},
			Correlated{"V", "I", r(v, 0, 1)}, Correlated{"V", "phi", r(v, 0, 2)}, Correlated{"phi", "I", r(v, 1, 2)})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "its uncertainty", b.U, want.u, 1e-5)
		near(t, "degrees of freedom", b.DoF, 4, 1e-12)
	}
	out := Transform(j, v)
	near(t, "u(Z)", math.Sqrt(out[2][2]), 0.2363361300823795, 1e-5)
	near(t, "r(R, X)", r(out, 0, 1), -0.5884297844234565, 1e-5)
	near(t, "r(R, Z)", r(out, 0, 2), -0.4852592242098573, 1e-5)
	near(t, "r(X, Z)", r(out, 1, 2), 0.992511648949016, 1e-5)
}

// Inputs measured with one ruler: fully correlated, they add up and cancel like the
// ruler's own deviation.
func TestFullCorrelation(t *testing.T) {
	b, err := Propagate([]Input{{"top", 0.3, 1, 10}, {"bottom", 0.3, -1, 20}, {"other", 0.4, 1, math.Inf(1)}},
		Correlated{"top", "bottom", 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u of the difference", b.U, 0.4, 1e-12)
	if !math.IsInf(b.DoF, 1) {
		t.Errorf("degrees of freedom %g, want +Inf: only the exactly known input is left", b.DoF)
	}
	b, err = Propagate([]Input{{"top", 0.3, 1, 10}, {"bottom", 0.3, 1, 20}}, Correlated{"top", "bottom", 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u of the sum", b.U, 0.6, 1e-12)
	near(t, "degrees of freedom", b.DoF, 10, 1e-12)
	b, err = Propagate([]Input{{"used", 0.3, 1, 20}, {"unused", 0.3, 0, 10}}, Correlated{"used", "unused", 0.9})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "degrees of freedom without the unused", b.DoF, 20, 1e-12)
}

// The law of propagation against Monte Carlo is checked in TestGaugeBlockMonteCarlo;
// here: differences instead of derivatives.
func TestSensitivities(t *testing.T) {
	f := func(x []float64) float64 { return x[0]*x[0]*x[1] + math.Exp(x[2]) }
	c := Sensitivities(f, []float64{3, 2, 0}, []float64{0.01, 0, 0})
	near(t, "df/dx", c[0], 12, 1e-12) // exact for a parabola
	near(t, "df/dy", c[1], 9, 1e-9)
	near(t, "df/dz", c[2], 1, 1e-9)
	c = Sensitivities(func(x []float64) float64 { return x[0] * x[0] }, []float64{3e9}, []float64{0})
	near(t, "far from zero", c[0], 6e9, 1e-9)
}

func TestPropagateRefusals(t *testing.T) {
	good := Input{"a", 1, 1, 5}
	for _, test := range []struct {
		inputs       []Input
		correlations []Correlated
		words        []string
	}{
		{[]Input{good, good}, nil, []string{`"a"`, "name of its own"}},
		{[]Input{{"", 1, 1, 5}}, nil, []string{"name"}},
		{[]Input{{"b", -1, 1, 5}}, nil, []string{`"b"`, "-1"}},
		{[]Input{{"b", math.NaN(), 1, 5}}, nil, []string{`"b"`, "NaN"}},
		{[]Input{{"b", 1, math.Inf(1), 5}}, nil, []string{`"b"`, "sensitivity"}},
		{[]Input{{"b", 1, 1, 0}}, nil, []string{`"b"`, "degrees"}},
		{[]Input{good, {"b", 1, 1, 5}}, []Correlated{{"a", "c", 0.5}}, []string{`"c"`}},
		{[]Input{good, {"b", 1, 1, 5}}, []Correlated{{"a", "a", 0.5}}, []string{`"a"`}},
		{[]Input{good, {"b", 1, 1, 5}}, []Correlated{{"a", "b", 1.5}}, []string{"1.5"}},
		{[]Input{good, {"b", 1, 1, 5}}, []Correlated{{"a", "b", 0.5}, {"b", "a", 0.5}}, []string{"twice"}},
		{[]Input{good, {"b", 1, 1, 5}, {"c", 1, 1, 5}},
			[]Correlated{{"a", "b", 1}, {"b", "c", 1}, {"a", "c", -1}}, []string{"contradict"}},
	} {
		_, err := Propagate(test.inputs, test.correlations...)
		refused(t, err, test.words...)
	}
	b, err := Propagate(nil)
	if err != nil || b.U != 0 || !math.IsInf(b.DoF, 1) {
		t.Errorf("no inputs: %+v, %v: want zero, exactly known", b, err)
	}
}
