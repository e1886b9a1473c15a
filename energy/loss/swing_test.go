package loss

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"joulewell/energy"
)

// turned returns the turning points of a made-up decay, with scatter u on each.
func turned(rng *rand.Rand, m Model, first float64, parameters []float64, n int, u float64) []Turning {
	var record []Turning
	side := Lower
	for i, a := range m.Amplitudes(first, parameters, n) {
		record = append(record, Turning{
			T:         energy.Estimate{Value: 0.35*float64(i) + 1e-3*rng.NormFloat64(), U: 1e-3},
			Extension: energy.Estimate{Value: 0.11 + 2e-6*float64(i) + float64(side)*a + u*rng.NormFloat64(), U: u},
			Side:      side, Index: i,
		})
		side = -side
	}
	return record
}

func TestPeriodHoldsTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(21, 1))
	var h hits
	var square float64 // of deviations over their uncertainty
	for range 2000 {
		record := turned(rng, viscous, 0.05, []float64{0.01}, 20, 1e-4)
		record = append(record[:7], record[10:]...) // lost turning points must not matter
		p, err := Period(record)
		if err != nil {
			t.Fatal(err)
		}
		h.add(p, 0.7)
		square += (p.Value - 0.7) * (p.Value - 0.7) / (p.U * p.U)
	}
	h.check(t, "period")
	near(t, "root mean square of the deviations, in u", math.Sqrt(square/2000), 0.98, 0.05) // widening where nothing scatters would make it 0.91
	if _, err := Period(turned(rng, viscous, 0.05, []float64{0.01}, 0, 1e-4)); !errors.Is(err, ErrFew) {
		t.Errorf("period of one turning point: %v", err)
	}
}

func TestMidLineFollowsADriftAndNotTheDecay(t *testing.T) {
	rng := rand.New(rand.NewPCG(22, 1))
	record := turned(rng, viscous, 0.05, []float64{0.05}, 20, 1e-12)
	line, err := MidLine(record)
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range line {
		// a quarter of the second difference of the amplitudes, 0.05^2 A/4, is left over
		near(t, "middle", m.Extension.Value, 0.11+2e-6*float64(i+1), 0.05*0.05*0.05/4)
		near(t, "uncertainty", m.Extension.U, 1e-12*math.Sqrt(6)/4, 1e-20)
	}
	if _, err := MidLine(record[:2]); !errors.Is(err, ErrFew) {
		t.Errorf("mid-line of two turning points: %v", err)
	}
}

// The share of the amplitude that a cycle takes: exact for exact turning points of the
// viscous law, 1 - exp(-2 d), and as sure as it says where these are noisy.
func TestDecrease(t *testing.T) {
	rng := rand.New(rand.NewPCG(25, 1))
	const d = 0.02
	var h hits
	var mean float64 // of deviations over their uncertainty
	for range 2000 {
		got, err := Decrease(turned(rng, viscous, 0.05, []float64{d}, 110, 6e-4))
		if err != nil {
			t.Fatal(err)
		}
		h.add(got, -math.Expm1(-2*d))
		mean += (got.Value + math.Expm1(-2*d)) / got.U / 2000
	}
	near(t, "mean deviation, in u", mean, 0, 0.1) // of a half swing chosen for its own amplitude it would be larger
	h.check(t, "decrease")
	record := turned(rng, viscous, 0.05, []float64{d}, 20, 1e-9)
	got, err := Decrease(record)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "decrease", got.Value, -math.Expm1(-2*d), 1e-6) // a drift of 2 um a half swing is in the record
	for i := range record {
		record[i].Extension.Value *= 1.01
	}
	scaled, err := Decrease(record)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "decrease of a longer scale", scaled.Value, got.Value, 1e-12)
	if _, err := Decrease(record[:3]); !errors.Is(err, ErrFew) {
		t.Errorf("decrease of three turning points: %v", err)
	}
	if _, err := Decrease(turned(rng, viscous, 0.05, []float64{d}, 20, 0.05)); !errors.Is(err, ErrFew) {
		t.Errorf("decrease of a swing in the noise: %v", err)
	}
}

// Variances and covariances of amplitudes against their scatter over many repeats.
func TestAmplitudesAgainstMonteCarlo(t *testing.T) {
	rng := rand.New(rand.NewPCG(23, 1))
	const trials = 20000
	var square, product float64
	var want Amplitude
	truth := viscous.Amplitudes(0.05, []float64{0.01}, 3)
	for range trials {
		a, err := Amplitudes(turned(rng, viscous, 0.05, []float64{0.01}, 3, 1e-4))
		if err != nil {
			t.Fatal(err)
		}
		want = a[1]
		d := a[1].Value.Value - (truth[1]+truth[2])/2
		e := a[2].Value.Value - (truth[2]+truth[3])/2
		square += d * d / trials
		product += d * e / trials
	}
	near(t, "variance", want.Value.U*want.Value.U, square, 0.03*square)
	near(t, "covariance with the next", want.Next, product, 0.06*product)
	if _, err := Amplitudes(nil); !errors.Is(err, ErrFew) {
		t.Errorf("amplitudes of nothing: %v", err)
	}
}

// The fit to turning points against what it claims to equal: generalised least squares
// on the amplitudes with their covariance matrix. At the fitted parameters its normal
// equations must hold too, and give the same uncertainties.
func TestFitIsGeneralisedLeastSquaresOnAmplitudes(t *testing.T) {
	rng := rand.New(rand.NewPCG(24, 1))
	record := turned(rng, viscous, 0.05, []float64{0.03}, driftFrom-2, 3e-4) // too few for a drift
	f, err := FitDecay(viscous, record)
	if err != nil {
		t.Fatal(err)
	}
	series, err := Amplitudes(record)
	if err != nil {
		t.Fatal(err)
	}
	n := len(series)
	covariance := mat.NewSymDense(n, nil)
	left, slopes := mat.NewVecDense(n, nil), mat.NewDense(n, 2, nil)
	predict := func(first, d float64, i int) float64 {
		a := viscous.Amplitudes(first, []float64{d}, n)
		return (a[i] + a[i+1]) / 2
	}
	first, d := f.First.Value, f.Parameters[0].Value
	for i, a := range series {
		covariance.SetSym(i, i, a.Value.U*a.Value.U)
		if i+1 < n {
			covariance.SetSym(i, i+1, a.Next)
		}
		left.SetVec(i, a.Value.Value-predict(first, d, i))
		const h = 1e-6
		slopes.Set(i, 0, (predict(first+h, d, i)-predict(first-h, d, i))/(2*h))
		slopes.Set(i, 1, (predict(first, d+h, i)-predict(first, d-h, i))/(2*h))
	}
	var inverse, weighted, normal, gradient mat.Dense
	if err := inverse.Inverse(covariance); err != nil {
		t.Fatal(err)
	}
	weighted.Mul(slopes.T(), &inverse)
	normal.Mul(&weighted, slopes)
	gradient.Mul(&weighted, left)
	var result mat.Dense
	if err := result.Inverse(&normal); err != nil {
		t.Fatal(err)
	}
	var step mat.Dense
	step.Mul(&result, &gradient)
	near(t, "u of first amplitude", f.First.U, math.Sqrt(result.At(0, 0)), 1e-5*f.First.U)
	near(t, "u of decrement", f.Parameters[0].U, math.Sqrt(result.At(1, 1)), 1e-5*f.Parameters[0].U)
	near(t, "first amplitude still to go", step.At(0, 0), 0, 1e-4*f.First.U)
	near(t, "decrement still to go", step.At(1, 0), 0, 1e-4*f.Parameters[0].U)
}
