package fit

import (
	"math"
	"math/rand/v2"
	"testing"
)

// JCGM 101:2008, 9.2.3: the sum of four rectangular quantities of u = 1 has u = 2 and
// a 95 % half width of 3.88 (exactly 3.879406741347821; 3.92 if it were normal).
func TestMonteCarloSumOfFour(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	draw := func() float64 {
		sum := 0.0
		for range 4 {
			sum += math.Sqrt(3) * (2*r.Float64() - 1)
		}
		return sum
	}
	const trials = 1_000_000
	d, err := MonteCarlo(draw, trials, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	// Standard deviations over seeds: of the mean 2/sqrt M = 0.002, of u 0.0014, of an
	// end sqrt(p(1-p)/M)/density = 0.0043.
	near(t, "mean + 1", d.Mean+1, 1, 4*0.002)
	near(t, "u", d.U, 2, 4*0.0007)
	near(t, "low", d.Low, -3.879406741347821, 4*0.0043/3.88)
	near(t, "high", d.High, 3.879406741347821, 4*0.0043/3.88)
	if short, whole := d.ShortHigh-d.ShortLow, d.High-d.Low; short > whole || short < 0.99*whole {
		t.Errorf("shortest interval %g wide, the other %g: of a symmetrical distribution they are alike", short, whole)
	}

	adaptive, err := Adaptive(draw, 0.02, 0.95, trials)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "adaptive high", adaptive.High, 3.879406741347821, 3*0.02/3.88)
	if adaptive.Trials%10_000 != 0 || adaptive.Trials < 20_000 || adaptive.Trials == trials {
		t.Errorf("settled after %d trials", adaptive.Trials)
	}
	_, err = Adaptive(draw, 1e-6, 0.95, 50_000)
	refused(t, err, "not settled", "50000")
}

// An exponential distribution has its shortest interval at the left end: closed form
// [0, -ln(1-p)], and [-ln((1+p)/2), -ln((1-p)/2)] with equal tails.
func TestMonteCarloShortest(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	d, err := MonteCarlo(r.ExpFloat64, 200_000, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "low", d.Low, -math.Log(0.95), 0.04)
	near(t, "high", d.High, -math.Log(0.05), 0.02)
	near(t, "shortest from", d.ShortLow, 0, 0.01)
	near(t, "shortest to", d.ShortHigh, -math.Log(0.1), 0.03)
}

// The intervals of known values, by hand: JCGM 101:2008, 7.7.
func TestMonteCarloIntervals(t *testing.T) {
	i := 0.0
	d, err := MonteCarlo(func() float64 { i++; return i * i }, 1000, 0.9)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "low", d.Low, 51*51, 0) // y(r), r = (1000 - 900)/2, counted from the next value
	near(t, "high", d.High, 951*951, 0)
	near(t, "shortest from", d.ShortLow, 1, 0)
	near(t, "shortest to", d.ShortHigh, 901*901, 0)
}

// JCGM 101:2008, 9.5: the gauge block of GUM H.1 by Monte Carlo: 838 nm, u 36 nm, 99 %
// within [745, 932]; digits from a run of 2e7 trials: 838.00, 35.68, 744.7, 931.4.
func TestGaugeBlockMonteCarlo(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	normal := r.NormFloat64
	flat := func(half float64) float64 { return half * (2*r.Float64() - 1) }
	student := func(dof int) float64 {
		chi := 0.0
		for range dof {
			z := normal()
			chi += z * z
		}
		return normal() / math.Sqrt(chi/float64(dof))
	}
	const nominal = 50_000_000
	draw := func() float64 {
		ls := 623 + 25*student(18) // above nominal
		d := 215 + 5.8*student(24) + 3.9*student(5) + 6.7*student(8)
		alpha := 11.5e-6 + flat(2e-6)
		theta := -0.1 + 0.2*normal() + 0.5*math.Sin(2*math.Pi*r.Float64())
		dAlpha := flat(1e-6 + flat(0.1e-6))
		dTheta := flat(0.050 + flat(0.025))
		return ls + d - (nominal+ls)*(dAlpha*theta+alpha*dTheta)
	}
	d, err := MonteCarlo(draw, 200_000, 0.99)
	if err != nil {
		t.Fatal(err)
	}
	// Standard deviations at 2e5 trials: mean 0.08, u 0.06, ends about 0.4.
	near(t, "mean", d.Mean, 838.00, 4*0.08/838)
	near(t, "u", d.U, 35.68, 4*0.07/35.68)
	near(t, "low", d.Low, 744.7, 4*0.4/744.7)
	near(t, "high", d.High, 931.4, 4*0.4/931.4)
}

func TestMonteCarloRefusals(t *testing.T) {
	one := func() float64 { return 1 }
	_, err := MonteCarlo(one, 1000, 1)
	refused(t, err, "probability 1")
	_, err = MonteCarlo(one, 999, 0.9)
	refused(t, err, "999 trials", "1000")
	_, err = MonteCarlo(func() float64 { return math.NaN() }, 1000, 0.9)
	refused(t, err, "trial 1", "NaN")
	_, err = Adaptive(one, 0, 0.9, 1e6)
	refused(t, err, "tolerance")
	_, err = Adaptive(one, 1, 0, 1e6)
	refused(t, err, "probability")
	_, err = Adaptive(func() float64 { return math.Inf(1) }, 1, 0.9, 1e6)
	refused(t, err, "trial 1", "Inf")
}
