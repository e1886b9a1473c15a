package loss

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/mat"

	"joulewell/energy"
)

// swing is a damped motion about a drifting neutral point: a made-up signal, whose
// turning points are found from its formula.
type swing struct {
	neutral, drift, amplitude, decay, omega, phase float64
}

func (s swing) at(t float64) (x, v, a float64) {
	e := s.amplitude * math.Exp(-s.decay*t)
	sin, cos := math.Sincos(s.omega*t + s.phase)
	x = s.neutral + s.drift*t + e*cos
	v = s.drift - e*(s.decay*cos+s.omega*sin)
	a = e * ((s.decay*s.decay-s.omega*s.omega)*cos + 2*s.decay*s.omega*sin)
	return x, v, a
}

// turns returns the true turning points within (0, end).
func (s swing) turns(end float64) (t, x []float64) {
	step := math.Pi / s.omega / 50
	for at := 0.0; at < end; at += step {
		_, v0, _ := s.at(at)
		_, v1, _ := s.at(at + step)
		if v0*v1 > 0 {
			continue
		}
		root := at + step/2
		for range 20 {
			_, v, a := s.at(root)
			root -= v / a
		}
		place, _, _ := s.at(root)
		t, x = append(t, root), append(x, place)
	}
	return t, x
}

// noisy returns samples whose deviations do not know of each other.
func (s swing) noisy(rng *rand.Rand, rate, end, ux, uv float64) []Sample {
	return s.related(rng, rate, end, ux, uv, 0)
}

// related is noisy with extension and velocity of one sample correlated by r.
func (s swing) related(rng *rand.Rand, rate, end, ux, uv, r float64) []Sample {
	samples := make([]Sample, 0, int(rate*end))
	for i := range cap(samples) {
		t := float64(i) / rate
		x, v, _ := s.at(t)
		one, other := rng.NormFloat64(), rng.NormFloat64()
		samples = append(samples, Sample{
			T:          t,
			Extension:  energy.Estimate{Value: x + ux*one, U: ux},
			Velocity:   energy.Estimate{Value: v + uv*(r*one+math.Sqrt(1-r*r)*other), U: uv},
			Covariance: r * ux * uv,
		})
	}
	return samples
}

// smoothed returns what a running cubic over 2*side+1 noisy positions makes of the
// motion.
func (s swing) smoothed(rng *rand.Rand, rate, end, noise float64, side int) []Sample {
	n := int(rate * end)
	raw := make([]float64, n)
	for i := range raw {
		x, _, _ := s.at(float64(i) / rate)
		raw[i] = x + noise*rng.NormFloat64()
	}
	const degree = 3
	design := mat.NewDense(2*side+1, degree+1, nil)
	for i := range 2*side + 1 {
		for j := range degree + 1 {
			design.Set(i, j, math.Pow(float64(i-side)/rate, float64(j)))
		}
	}
	var normal, inverse, weights mat.Dense
	normal.Mul(design.T(), design)
	if err := inverse.Inverse(&normal); err != nil {
		panic(err)
	}
	weights.Mul(&inverse, design.T())
	u := [2]float64{noise * math.Sqrt(inverse.At(0, 0)), noise * math.Sqrt(inverse.At(1, 1))}
	samples := make([]Sample, 0, n)
	for i := side; i < n-side; i++ {
		var x, v float64
		for j := range 2*side + 1 {
			x += weights.At(0, j) * raw[i-side+j]
			v += weights.At(1, j) * raw[i-side+j]
		}
		samples = append(samples, Sample{
			T:         float64(i) / rate,
			Extension: energy.Estimate{Value: x, U: u[0]},
			Velocity:  energy.Estimate{Value: v, U: u[1]},
		})
	}
	return samples
}

// bench is a swing as one meets it: 5 cm at 1.5 Hz, slow decay, a creeping spring.
func bench(rng *rand.Rand) swing {
	return swing{neutral: 0.11, drift: 2e-5, amplitude: 0.05, decay: 0.03, omega: 2 * math.Pi * 1.5, phase: 2 * math.Pi * rng.Float64()}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.15g, want %.15g within %.2g", what, got, want, tol)
	}
}

// hits counts how often 95 % intervals hold the truth.
type hits struct{ in, all int }

func (h *hits) add(e energy.Estimate, truth float64) {
	h.all++
	if math.Abs(e.Value-truth) <= 1.959964*e.U {
		h.in++
	}
}

func (h *hits) check(t *testing.T, what string) {
	t.Helper()
	share := float64(h.in) / float64(h.all)
	t.Logf("%s: 95 %% intervals hold the truth in %.2f %% of %d cases", what, 100*share, h.all)
	low, high := 0.93, 0.97
	if h.all < 5000 { // three standard deviations of the count itself
		slack := 3 * math.Sqrt(0.95*0.05/float64(h.all))
		low, high = min(low, 0.95-slack), max(high, 0.95+slack)
	}
	if !(share >= low && share <= high) {
		t.Errorf("%s: 95 %% intervals hold the truth in %.2f %% of %d cases, want 93 to 97 %%", what, 100*share, h.all)
	}
}
