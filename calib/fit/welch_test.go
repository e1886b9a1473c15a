package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The sleep of ten patients after two drugs, Student, The probable error of a mean,
// Biometrika 6 (1908) 1; as R's data set sleep. R 4.2 prints t = -1.8608, df = 17.776,
// p-value = 0.07939, interval -3.3654832 to 0.2054832; more digits by
//
//	r <- t.test(extra ~ group, data = sleep); print(c(r$statistic, r$parameter, r$p.value, r$conf.int, r$stderr), digits = 16)
func TestWelchStudentsSleep(t *testing.T) {
	w, err := Welch(repeat(t, 0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0),
		repeat(t, 1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4))
	if err != nil {
		t.Fatal(err)
	}
	low, high, err := w.Interval(0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "difference", w.Difference, -1.58, 1e-12)
	near(t, "u", w.U, 0.849091017238762, 1e-12)
	near(t, "t", w.T, -1.8608134674868531, 1e-12)
	near(t, "dof", w.DoF, 17.7764735161784984, 1e-12)
	near(t, "p", w.P, 0.0793941401873582, 1e-9)
	near(t, "low", low, -3.3654832307117104, 1e-9)
	near(t, "high", high, 0.2054832307117102, 1e-8)
}

// NIST/SEMATECH e-Handbook of Statistical Methods 1.3.5.3, miles per gallon of American
// and Japanese cars: t -12.94627 with 136.8750 degrees of freedom (summary and result from
// memory; they agree with each other).
func TestWelchHandbook(t *testing.T) {
	w, err := Welch(summary(249, 20.14458, 6.41470), summary(79, 30.48101, 6.10771))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "t", w.T, -12.94627, 4e-7)
	near(t, "dof", w.DoF, 136.8750, 4e-7)
}

// What cannot be lessened by more readings has no end of degrees of freedom.
func TestWelchShared(t *testing.T) {
	a, b := summary(5, 1.2, 0.1), summary(5, 1, 0.1)
	w, err := WelchShared(a, b, 0.3)
	if err != nil {
		t.Fatal(err)
	}
	scatter := 2 * 0.1 * 0.1 / 5
	near(t, "u", w.U, math.Sqrt(scatter+0.09), 1e-12)
	near(t, "dof", w.DoF, math.Pow(scatter+0.09, 2)/(2*math.Pow(0.1*0.1/5, 2)/4), 1e-12)
	if w, err = WelchShared(summary(3, 1.6, 0), summary(3, 1, 0), 0.3); err != nil || !math.IsInf(w.DoF, 1) {
		t.Fatalf("%+v, %v: want no end of degrees of freedom", w, err)
	}
	near(t, "p of two standard uncertainties", w.P, 0.0455002638963584, 1e-9) // 2 * pnorm(-2) in R
}

func TestWelchRefusals(t *testing.T) {
	_, err := Welch(summary(1, 1, 0), summary(5, 1, 1))
	refused(t, err, "1 and 5 readings", "2 of each")
	_, err = Welch(summary(4, 1, 0), summary(4, 1, 0))
	refused(t, err, "alike")
	_, err = WelchShared(summary(4, 1, 1), summary(4, 1, 1), -1)
	refused(t, err, "not negative")
}

// p.adjust(c(0.01, 0.04, 0.03, 0.005, 0.2, 0.6), "holm") in R 4.2.
func TestHolm(t *testing.T) {
	for i, v := range Holm([]float64{0.01, 0.04, 0.03, 0.005, 0.2, 0.6}) {
		near(t, "p", v, []float64{0.05, 0.12, 0.12, 0.03, 0.4, 0.6}[i], 1e-14)
	}
}

// Two groups of one kind, of different numbers and spreads: one in twenty is taken for
// different, and 95 % intervals hold the difference that there is.

func TestWelchKeepsItsWord(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 1))
	const draws = 20000
	for _, c := range []struct {
		na, nb   int
		sa, sb   float64
		low, top float64 // of the false alarms
	}{
		{10, 10, 1, 1, 0.045, 0.055}, {15, 5, 1, 3, 0.045, 0.06}, {8, 4, 1, 2, 0.045, 0.062}, {5, 5, 1, 4, 0.042, 0.062},
	} {
		alarms, held := 0, 0
		for range draws {
			a, b := normal(rng, c.na, 0, c.sa), normal(rng, c.nb, 0, c.sb)
			w, err := Welch(a, b)
			if err != nil {
				t.Fatal(err)
			}
			if w.P < 0.05 {
				alarms++
			}
			b.Mean += 1.7
			w, _ = Welch(a, b)
			if low, high, _ := w.Interval(0.95); low < -1.7 && -1.7 < high {
				held++
			}
		}
		rate := float64(alarms) / draws
		t.Logf("%d readings of spread %g and %d of %g: false alarms %.4f, intervals hold %.4f", c.na, c.sa, c.nb, c.sb, rate, float64(held)/draws)
		if rate < c.low || rate > c.top || held != draws-alarms {
			t.Errorf("%+v: false alarms %.4f, intervals hold %.4f", c, rate, float64(held)/draws)
		}
	}
}

func repeat(t *testing.T, readings ...float64) Repeats {
	t.Helper()
	r, err := Repeat(readings)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func summary(n int, mean, sd float64) Repeats {
	return Repeats{N: n, Mean: mean, SD: sd, U: sd / math.Sqrt(float64(n))}
}

func normal(rng *rand.Rand, n int, mean, sd float64) Repeats {
	readings := make([]float64, n)
	for i := range readings {
		readings[i] = mean + sd*rng.NormFloat64()
	}
	r, _ := Repeat(readings) // more than one, all finite
	return r
}
