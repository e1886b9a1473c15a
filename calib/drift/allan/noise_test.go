package allan

import (
	"math"
	"math/rand/v2"
	"testing"
)

// draw makes n readings of one kind of noise. Flicker is white noise under the filter
// (1 - B)^(-1/2) in full length (Kasdin, Proc. IEEE 83 (1995) 802).
func draw(r *rand.Rand, kind Noise, n int) []float64 {
	white := make([]float64, n+1)
	for i := range white {
		white[i] = r.NormFloat64()
	}
	y := make([]float64, n)
	switch kind {
	case WhitePhase:
		for i := range y {
			y[i] = white[i+1] - white[i]
		}
	case White:
		copy(y, white)
	case Walk:
		for i := range y {
			y[i] = white[i]
			if i > 0 {
				y[i] += y[i-1]
			}
		}
	case Flicker, FlickerPhase:
		h := make([]float64, n)
		h[0] = 1
		for k := 1; k < n; k++ {
			h[k] = h[k-1] * (float64(k) - 0.5) / float64(k)
		}
		for i := range y {
			for k := 0; k <= i; k++ {
				y[i] += h[k] * white[i-k]
			}
		}
		if kind == FlickerPhase {
			for i := n - 1; i > 0; i-- {
				y[i] -= y[i-1]
			}
		}
	}
	return y
}

func phaseOf(y []float64) []float64 {
	phase := make([]float64, len(y)+1)
	for i, v := range y {
		phase[i+1] = phase[i] + v
	}
	return phase
}

// The kind is told rightly nearly always from 1000 readings and mostly from 60.
func TestKindOfNoise(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for kind := Walk; kind <= WhitePhase; kind++ {
		many, few := 0, 0
		const tries = 60
		for range tries {
			y := draw(r, kind, 1000)
			if got, ok := identify(phaseOf(y), 1); ok && got == kind {
				many++
			}
			if got, ok := identify(phaseOf(y[:60]), 1); ok && got == kind {
				few++
			}
		}
		t.Logf("%v: %d of %d from 1000 readings, %d from 60", kind, many, tries, few)
		if many < tries*95/100 || few < tries*60/100 {
			t.Errorf("%v told in %d and %d of %d", kind, many, few, tries)
		}
	}
	if _, ok := identify(phaseOf(make([]float64, 290)), 10); ok {
		t.Error("told from 29 means")
	}
}

// flickerVariance is the Allan variance of the flicker that draw makes, averaged over many
// readings. The filter gives it a density of 1/(pi f) per unit of frequency (Kasdin), and
// flicker of density h/f has the variance 2 ln 2 h (NIST SP 1065, 3.3).
const flickerVariance = 2 * math.Ln2 / math.Pi

// truth are the Allan variances at m readings of the kinds that draw makes: own
// derivations from the variance of the difference of two means, except for flicker.
var truth = map[Noise]func(m float64) float64{
	WhitePhase: func(m float64) float64 { return 3 / (m * m) },
	White:      func(m float64) float64 { return 1 / m },
	Flicker:    func(float64) float64 { return flickerVariance },
	Walk:       func(m float64) float64 { return (2*m*m + 1) / (6 * m) },
}

// The degrees of freedom against the scatter of drawn variances: 2 mean^2/variance. The
// draws tell it within 8 %, the formulas are empirical.
func TestDegreesOfFreedomAgainstDraws(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for _, kind := range []Noise{WhitePhase, White, Flicker, Walk} {
		const tries = 800
		sums, squares := map[int]float64{}, map[int]float64{}
		for range tries {
			l := mustLog(t, 1, draw(r, kind, 512))
			for _, m := range []int{4, 16, 64, 128} {
				v, _ := l.Deviation(Overlapping, m)
				sums[m] += v * v / tries
				squares[m] += v * v * v * v / tries
			}
		}
		for m, sum := range sums {
			near(t, "drawn variance", sum, truth[kind](float64(m)), 0.07)
			near(t, "degrees of freedom", degrees(kind, 513, m), 2*sum*sum/(squares[m]-sum*sum), 0.2)
		}
	}
}

// Intervals of 90 % hold the true deviation in about 90 % of logs, those of a stream in
// more.
func TestIntervalsCover(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	for _, kind := range []Noise{WhitePhase, White, Flicker, Walk} {
		held, streamed := map[float64]int{}, map[float64]int{}
		const tries = 400
		for range tries {
			y := draw(r, kind, 512)
			points, err := mustLog(t, 1, y).Octaves(0.9)
			if err != nil {
				t.Fatal(err)
			}
			var s Stream
			for _, v := range y {
				s.Add(v)
			}
			rough, err := s.Octaves(1, 0.9)
			if err != nil {
				t.Fatal(err)
			}
			count := func(all []Deviation, held map[float64]int) {
				for _, p := range all {
					if v := math.Sqrt(truth[kind](p.Tau)); p.Low <= v && v <= p.High {
						held[p.Tau]++
					}
				}
			}
			count(points, held)
			count(rough, streamed)
		}
		for _, tau := range []float64{4, 16, 64} {
			share, rough := float64(held[tau])/tries, float64(streamed[tau])/tries
			t.Logf("%v at %g: held by %.3f, by the stream's %.3f", kind, tau, share, rough)
			if share < 0.85 || share > 0.98 {
				t.Errorf("%v at %g: intervals of 90 %% hold in %.3f", kind, tau, share)
			}
			if rough < 0.86 {
				t.Errorf("%v at %g: the stream's intervals of 90 %% hold in %.3f", kind, tau, rough)
			}
		}
	}
}

// White noise over a walk: floor, averaging time and walk come out where the sum of the
// two true variances has them.
func TestAdvice(t *testing.T) {
	const n, step, interval = 1 << 17, 0.004, 0.1
	r := rand.New(rand.NewPCG(9, 9))
	y := draw(r, White, n)
	for i, w := range draw(r, Walk, n) {
		y[i] += step * w
	}
	points, err := mustLog(t, interval, y).Octaves(0.95)
	if err != nil {
		t.Fatal(err)
	}
	a, err := Advise(points)
	if err != nil {
		t.Fatal(err)
	}
	// 1/m + step^2 m/3 is least at m = sqrt 3/step = 433 readings, 0.0680 squared.
	lowest := math.Sqrt(2 * step / math.Sqrt(3))
	t.Logf("floor %+v, average %g s, walk %g s", a.Floor, a.Average, a.Walk)
	if a.Floor.Low > lowest*1.03 || a.Floor.High < lowest {
		t.Errorf("floor %+v, want %g within its bounds", a.Floor, lowest)
	}
	if a.Floor.Tau < 20 || a.Floor.Tau > 110 {
		t.Errorf("floor at %g s, want about 43", a.Floor.Tau)
	}
	if !(a.Average > 10 && a.Average <= a.Floor.Tau && a.Walk > 110 && a.Walk < 500) {
		t.Errorf("average %g s, walk %g s about the floor at %g s", a.Average, a.Walk, a.Floor.Tau)
	}
	// 32 readings have 1/sqrt 32 = 0.1768, but not surely below 0.1775.
	if tau, ok := Reach(points, 0.1775); !ok || math.Abs(tau-6.4) > 1e-9 {
		t.Errorf("0.1775 is reached at %g s, %v; want 6.4 s", tau, ok)
	}
	if tau, ok := Reach(points, lowest/2); ok {
		t.Errorf("half the floor is reached at %g s", tau)
	}
	steady, err := mustLog(t, 1, draw(r, White, 4096)).Octaves(0.95)
	if err != nil {
		t.Fatal(err)
	}
	if a, err := Advise(steady); err != nil || !math.IsNaN(a.Walk) {
		t.Errorf("white noise alone is said to walk at %g s, %v", a.Walk, err)
	}
}
