package allan

import (
	"math"
	"strings"
	"testing"
)

// near wants got within tol of want, relative to want's size.
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol*math.Abs(want)) {
		t.Errorf("%s = %.12g, want %.12g within %.1g", what, got, want, tol)
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

func mustLog(t testing.TB, interval float64, stretches ...[]float64) *Log {
	t.Helper()
	l, err := NewLog(interval, stretches...)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

var ninePoints = []float64{892, 809, 823, 798, 671, 644, 883, 903, 677}

// thousand are the values of the test suite's generator: n = 16807 n mod 2147483647 from
// 1234567890, over the modulus.
func thousand() []float64 {
	y := make([]float64, 1000)
	for i, n := 0, int64(1234567890); i < len(y); i, n = i+1, 16807*n%2147483647 {
		y[i] = float64(n) / 2147483647
	}
	return y
}

// NIST SP 1065, test suites of nine and of a thousand points, frequency data: the tables
// print seven to twelve of these digits, the rest were computed with another program.
func TestPublishedDeviations(t *testing.T) {
	nine, many := mustLog(t, 1, ninePoints), mustLog(t, 1, thousand())
	for _, test := range []struct {
		e    Estimator
		nine [2]float64
		many [3]float64
	}{
		{Plain, [2]float64{91.22944974074983, 115.80821070488338}, [3]float64{0.29223187810675916, 0.09965736063174786, 0.038978043308026504}},
		{Overlapping, [2]float64{91.22944974074983, 85.952869837681}, [3]float64{0.29223187810675916, 0.09159953420118654, 0.03241343026056984}},
		{Modified, [2]float64{91.22944974074983, 74.78849343314785}, [3]float64{0.29223187810675916, 0.061723763824522174, 0.021709209136942405}},
		{Hadamard, [2]float64{70.80607318585038, 116.79799156378218}, [3]float64{0.29438832912413204, 0.10527541940128339, 0.03910860559748536}},
		{OverlappingHadamard, [2]float64{70.80607318585038, 85.61487166374776}, [3]float64{0.29438832912413204, 0.09581083173251592, 0.03237638252760933}},
	} {
		for i, want := range test.nine {
			got, _ := nine.Deviation(test.e, i+1)
			near(t, "of nine", got, want, 1e-11)
		}
		for i, want := range test.many {
			got, _ := many.Deviation(test.e, int(math.Pow10(i)))
			near(t, "of a thousand", got, want, 1e-11)
		}
	}
}

// A steady drift of D a second: the Allan deviation is D tau/sqrt 2, that of Hadamard 0
// (identities).
func TestSteadyDrift(t *testing.T) {
	const rate, interval = 0.003, 0.25
	y := make([]float64, 500)
	for i := range y {
		y[i] = 12 + rate*interval*float64(i)
	}
	l := mustLog(t, interval, y)
	for _, m := range []int{1, 2, 7, 64} {
		want := rate * interval * float64(m) / math.Sqrt2
		for _, e := range []Estimator{Plain, Overlapping, Modified} {
			got, _ := l.Deviation(e, m)
			near(t, "of a drift", got, want, 1e-9)
		}
		for _, e := range []Estimator{Hadamard, OverlappingHadamard} {
			if got, n := l.Deviation(e, m); !(got < 1e-9*want) || n == 0 {
				t.Errorf("Hadamard deviation of a drift at %d: %g of %d", m, got, n)
			}
		}
	}
}

// Degrees of freedom of the overlapping variance of a thousand white readings at ten:
// 146.177 (NIST SP 1065, table of confidence intervals; from memory).
func TestPublishedDegreesOfFreedom(t *testing.T) {
	near(t, "degrees of freedom", degrees(White, 1001, 10), 146.177, 0.0005/146.177)
}

// Ten degrees of freedom: chi-squared is below 3.247 or above 20.483 with a probability of
// 2.5 % each (printed tables, common practice).
func TestBounds(t *testing.T) {
	d := Deviation{Value: 2, DoF: 10}
	d.bound(0.95)
	near(t, "upper bound", d.High, 2*math.Sqrt(10/3.247), 1e-4)
	near(t, "lower bound", d.Low, 2*math.Sqrt(10/20.483), 1e-4)
}

// With two stretches each counts as by itself.
func TestStretchesArePooled(t *testing.T) {
	y := thousand()
	a, b, both := mustLog(t, 1, y[:400]), mustLog(t, 1, y[400:]), mustLog(t, 1, y[:400], y[400:])
	for e := Overlapping; e <= OverlappingHadamard; e++ {
		for _, m := range []int{1, 8, 50} {
			da, na := a.Deviation(e, m)
			db, nb := b.Deviation(e, m)
			got, n := both.Deviation(e, m)
			want := math.Sqrt((da*da*float64(na) + db*db*float64(nb)) / float64(na+nb))
			near(t, "pooled", got, want, 1e-9)
			if n != na+nb {
				t.Errorf("%d terms, want %d and %d", n, na, nb)
			}
		}
	}
	points, err := both.Octaves(0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "longest averaging time", points[len(points)-1].Tau, 256, 1e-12)
	near(t, "pooled degrees of freedom", points[3].DoF, degrees(White, 401, 8)+degrees(White, 601, 8), 1e-12)
}

// The stream's deviations are the plain ones of the log, at every octave.
func TestStreamAgainstLog(t *testing.T) {
	y := thousand()
	var s Stream
	for _, v := range y {
		s.Add(v)
	}
	l := mustLog(t, 1, y)
	points, err := s.Octaves(0.5, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if len(points) != 9 {
		t.Fatalf("%d octaves of a thousand readings, want 9", len(points))
	}
	for k, p := range points {
		want, n := l.Deviation(Plain, 1<<k)
		near(t, "stream", p.Value, want, 1e-12)
		near(t, "averaging time", p.Tau, 0.5*float64(int(1)<<k), 1e-12)
		if p.Terms != n || !(p.Low < p.Value && p.Value < p.High) {
			t.Errorf("%+v, want %d terms and bounds about the value", p, n)
		}
	}
}

// After a break no difference is taken across it.
func TestStreamBreaks(t *testing.T) {
	var whole, broken Stream
	for i := range 63 { // an odd number: means wait for their second
		whole.Add(float64(i % 2))
		broken.Add(float64(i % 2))
	}
	broken.Break()
	for i := range 64 {
		whole.Add(1000 + float64(i%2))
		broken.Add(1000 + float64(i%2))
	}
	if v, n := broken.Value(0); math.Abs(v-math.Sqrt(0.5)) > 1e-12 || n != 125 {
		t.Errorf("broken: %g of %d, want sqrt 1/2 of 125", v, n)
	}
	for octave := 1; octave <= 5; octave++ {
		if v, n := broken.Value(octave); v != 0 && n > 0 {
			t.Errorf("at octave %d %g, want 0: the jump lies in the break", octave, v)
		}
	}
	if v, _ := whole.Value(5); v < 100 {
		t.Errorf("at 32 readings %g without a break, want the jump seen", v)
	}
}

func TestRefusals(t *testing.T) {
	_, err := NewLog(0, thousand())
	refused(t, err, "interval 0")
	_, err = NewLog(1, []float64{1, 2}, []float64{3, 4})
	refused(t, err, "2 readings", "3")
	_, err = NewLog(1, []float64{1, 2, 3}, []float64{math.NaN()})
	refused(t, err, "reading 4", "NaN")
	_, err = NewLog(1, []float64{5, 5, 5, 5})
	refused(t, err, "alike", "resolution")
	_, err = mustLog(t, 1, ninePoints).Octaves(1)
	refused(t, err, "probability 1")
	if v, n := mustLog(t, 1, ninePoints).Deviation(Overlapping, 5); !math.IsNaN(v) || n != 0 {
		t.Errorf("of nine at 5: %g of %d, want none", v, n)
	}
	_, err = Advise(nil)
	refused(t, err, "longer log")
	_, err = new(Stream).Octaves(-1, 0.95)
	refused(t, err, "interval -1")
	_, _, err = Stretches([]float64{0, 1, 1, 2}, make([]float64, 4))
	refused(t, err, "time 3", "later")
	_, _, err = Stretches([]float64{0, 1, math.NaN(), 2}, make([]float64, 4))
	refused(t, err, "time 3")
	_, _, err = Stretches([]float64{0, 1, 4, 5, 8, 9, 12}, make([]float64, 7))
	refused(t, err, "evenly")
	_, _, err = Stretches([]float64{0, 1}, []float64{1})
	refused(t, err, "2 times")
}

func TestStretchesSplitAtGaps(t *testing.T) {
	var times, readings []float64
	for i := range 100 {
		if i == 40 || i == 71 || i == 72 {
			continue
		}
		times = append(times, 0.1*float64(i)+0.02*math.Sin(float64(i*i)))
		readings = append(readings, float64(i))
	}
	interval, stretches, err := Stretches(times, readings)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "interval", interval, 0.1, 0.1)
	if len(stretches) != 3 || len(stretches[0]) != 40 || stretches[1][0] != 41 || len(stretches[1]) != 30 || stretches[2][0] != 73 {
		t.Errorf("stretches %v", stretches)
	}
}
