package chart

import (
	"math"
	"strings"
	"testing"
)

// handbook are the twenty values of NIST/SEMATECH e-Handbook 6.3.2.4.
var handbook = []float64{52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.10g, want %.10g within %.1g", what, got, want, tol)
	}
}

func refused(t *testing.T, err error, words ...string) {
	t.Helper()
	if err == nil {
		t.Errorf("passed, want a refusal that says %q", words)
		return
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("refused with %q, want it to say %q", err, w)
		}
	}
}

// e-Handbook 6.3.2.4: weight 0.3, start 50, s 2.0539; printed limits 52.5884 and 47.4115
// (the lower one cut, not rounded). Nothing signals. The limit at the first value, 1.84851
// off, is 3 s 0.3.
func TestMovingAverageOfTheHandbook(t *testing.T) {
	printed := []float64{50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38, 49.92, 50.73, 51.23, 51.94, 51.99}
	e, err := NewEWMA(Level{Mean: 50, SD: 2.0539}, 0.3, 3)
	if err != nil {
		t.Fatal(err)
	}
	for i, x := range handbook {
		if s := e.Add(x); s != Within {
			t.Errorf("value %d signals %d", i+1, s)
		}
		value, _, high := e.Average()
		near(t, "average", value, printed[i], 0.005)
		if i == 0 {
			near(t, "first upper limit", high, 51.84851, 1e-9)
		}
	}
	for range 100 {
		e.Add(50)
	}
	_, low, high := e.Average()
	near(t, "upper limit", high, 52.5884, 5e-5)
	near(t, "lower limit", low, 47.4116, 5e-5)
}

// e-Handbook 6.3.2.3 (twenty group means, target 325): the sums for k 0.3175 and h 4.1959.
func TestCumulativeSumOfTheHandbook(t *testing.T) {
	values := []float64{324.925, 324.675, 324.725, 324.35, 325.35, 325.225, 324.125, 324.525, 325.225, 324.6, 324.625, 325.15, 328.325, 327.25, 327.825, 328.5, 326.675, 327.775, 326.875, 328.35}
	upper := []float64{0, 0, 0, 0, 0.0325, 0, 0, 0, 0, 0, 0, 0, 3.0075, 4.94, 7.4475, 10.63, 11.9875, 14.445, 16.0025, 19.035}
	lower := []float64{0, 0.0075, 0, 0.3325, 0, 0, 0.5575, 0.715, 0.1725, 0.255, 0.3125, 0, 0, 0, 0, 0, 0, 0, 0, 0}
	for _, sd := range []float64{1, 2.5} { // the chart is the same whatever unit its constants are told in
		c, err := NewCUSUM(Level{Mean: 325, SD: sd}, 0.3175/sd, 4.1959/sd)
		if err != nil {
			t.Fatal(err)
		}
		first := 0
		for i, x := range values {
			if c.Add(x) == High && first == 0 {
				first = i + 1
			}
			low, high := c.Sums()
			near(t, "upper sum", high, upper[i], 1e-10)
			near(t, "lower sum", low, lower[i], 1e-10)
		}
		if first != 14 || c.Since(High)+1 != 13 {
			t.Errorf("signals first at %d, since %d; want 14, since 13", first, c.Since(High)+1)
		}
	}
}

// e-Handbook 6.3.2.2: ten values, mean 50.81, mean moving range 1.8778, limits 55.8041 and
// 45.8159 with d2 rounded to 1.128.
func TestIndividualsOfTheHandbook(t *testing.T) {
	l, err := Learn(handbook[10:])
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", l.Mean, 50.81, 1e-9)
	mean, high := l.Range()
	near(t, "mean moving range", mean, 1.8778, 5e-5)
	// D4 of two is 3.267 (table of control chart constants, common practice).
	near(t, "limit of the moving range", high/mean, 3.267, 5e-4)
	l.SD *= d2 / 1.128
	low, up := l.Limits(3)
	near(t, "upper limit", up, 55.8041, 5e-5)
	near(t, "lower limit", low, 45.8159, 5e-5)
	near(t, "d2", d2, 1.128379, 5e-7) // table of control chart constants, common practice
	near(t, "d3", d3, 0.852502, 5e-7) // likewise
}

// The average dates a change to the value with which it crossed the mean.
func TestMovingAverageDatesAChange(t *testing.T) {
	e, err := NewEWMA(Level{SD: 1}, 0.2, 3)
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{0.5, -1, -1, -1, 4, 3, 3} {
		e.Add(x)
	}
	if value, _, _ := e.Average(); !(value > 0) || e.Since() != 4 {
		t.Errorf("average %g above the mean since value %d, want since 4", value, e.Since())
	}
	e.Add(-20)
	if e.Since() != 7 {
		t.Errorf("below the mean since value %d, want 7", e.Since())
	}
}

// The same values turned about the mean signal on the other side at the same moment; a
// change of unit or zero alters nothing.
func TestSymmetry(t *testing.T) {
	run := func(scale, zero float64) (all []Signal) {
		c, err := New(Level{Mean: zero, SD: math.Abs(scale)}, Usual)
		if err != nil {
			t.Fatal(err)
		}
		for i := range 40 {
			z := math.Sin(float64(i * i))
			switch {
			case i >= 20:
				z += 1.3
			case i == 4:
				z = 3.1
			case i == 5:
				z = 2.8 // not much of itself, but the average passes
			}
			all = append(all, c.Add(zero+scale*z))
		}
		return all
	}
	plain, scaled, mirrored := run(1, 0), run(1e-3, 7), run(-1, 0)
	rules := map[Rule]bool{}
	for i, s := range plain {
		rules[s.Rule] = true
		if s.Rule == Single && s.Since != i {
			t.Errorf("value %d: one value signals since %d", i, s.Since)
		}
		if s != scaled[i] {
			t.Errorf("value %d: %+v, in another unit %+v", i, s, scaled[i])
		}
		if s.Side = -s.Side; s != mirrored[i] {
			t.Errorf("value %d mirrored: %+v, want %+v", i, mirrored[i], s)
		}
	}
	if !rules[Single] || !rules[Average] || !rules[Sum] {
		t.Errorf("rules that signalled: %v, want all", rules)
	}
	if last := plain[39]; last.Rule != Sum || last.Since < 15 || last.Since > 22 {
		t.Errorf("%+v, want a sum that dates the change to value 20 or so", last)
	}
}

func TestRefusals(t *testing.T) {
	_, err := Learn([]float64{1})
	refused(t, err, "1 values", "2")
	_, err = Learn([]float64{1, math.NaN(), 2})
	refused(t, err, "value 2", "NaN")
	_, err = Learn([]float64{4, 4, 4})
	refused(t, err, "alike", "resolution")
	_, err = Learn([]float64{-1e308, 1e308})
	refused(t, err, "Inf")
	_, err = New(Level{Mean: 0, SD: 0}, Usual)
	refused(t, err, "standard deviation 0")
	for name, p := range map[string]Plan{
		"limit":    {0, 0.2, 3, 0.5, 5},
		"weight":   {3, 0, 3, 0.5, 5},
		"average":  {3, 0.2, math.NaN(), 0.5, 5},
		"slack":    {3, 0.2, 3, -1, 5},
		"decision": {3, 0.2, 3, 0.5, 0},
	} {
		_, err := New(Level{SD: 1}, p)
		refused(t, err, name)
	}
	_, err = NewEWMA(Level{SD: 1}, 1.1, 3)
	refused(t, err, "weight 1.1")
	_, err = NewCUSUM(Level{SD: math.Inf(1)}, 0.5, 5)
	refused(t, err, "Inf")
}
