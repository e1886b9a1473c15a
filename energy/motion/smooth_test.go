package motion

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

func newSmoother(t *testing.T, s stream) *Smoother {
	t.Helper()
	m, err := NewSmoother(s.times, s.positions, SmoothOptions{})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// compare tallies the smoother's answers at every few points of s.
func (m *Smoother) compare(t *testing.T, s stream, p path) tally {
	t.Helper()
	var a tally
	for _, i := range spread(len(s.times)) {
		x, v, q := m.At(s.times[i])
		if absent(t, x, v, q) {
			a.absent++
			continue
		}
		a.answers++
		d := v.Value - p.velocity(float64(s.times[i])*1e-9)
		a.squareV += d * d
		a.u2 += v.U * v.U
		if math.Abs(d) <= 1.96*v.U {
			a.insideV++
		}
	}
	return a
}

// The window chosen from the points alone must be nearly as good as the best one, found
// by trying all with the true path in hand; the stated uncertainty must be that of the
// answers, and noise be found for what it is.
func TestSmootherChoosesWell(t *testing.T) {
	for _, p := range []path{swing(0.1, 0.8), swing(0.04, 2.5), stiffening(), wander(1)} {
		for _, rate := range []float64{40, 80, 400} {
			s := sample(p, rate, min(9, 1200/rate+3), noise, 21)
			m := newSmoother(t, s)
			chosen := m.compare(t, s, p)
			n := float64(chosen.answers)
			rms, u := math.Sqrt(chosen.squareV/n), math.Sqrt(chosen.u2/n)

			best := math.Inf(1)
			for points := 4.0; points < 100; points *= 1.25 {
				m.reachTo(int64(points / rate * 1e9))
				a := m.compare(t, s, p)
				tried := math.Sqrt(a.squareV / float64(a.answers))
				if a.absent > chosen.absent+2 || tried > 2*best {
					break
				}
				best = min(best, tried)
			}
			t.Logf("%-18s %4.0f Hz: noise %.6f m, half width %.3f s, rms velocity deviation %.5f, best %.5f, u %.5f, %.3f inside",
				p.name, rate, m.Noise, m.HalfWidth, rms, best, u, float64(chosen.insideV)/n)
			if rms > 1.25*best {
				t.Errorf("%s at %g Hz: deviations of %.5f m/s with half width %.3f s, %.5f with the best", p.name, rate, rms, m.HalfWidth, best)
			}
			if u < 0.7*rms || u > 1.7*rms {
				t.Errorf("%s at %g Hz: stated %.5f m/s, deviations %.5f m/s", p.name, rate, u, rms)
			}
			if share := float64(chosen.insideV) / n; share < 0.85 {
				t.Errorf("%s at %g Hz: %.3f of the velocities inside 95 %% intervals", p.name, rate, share)
			}
			// Of 300 stretches with three degrees of freedom the median is good to 7 %.
			if m.Noise < 0.85*noise || m.Noise > 1.2*noise {
				t.Errorf("%s at %g Hz: noise %g m, want %g", p.name, rate, m.Noise, noise)
			}
			if chosen.absent > 2 {
				t.Errorf("%s at %g Hz: %d answers absent", p.name, rate, chosen.absent)
			}
		}
	}
}

// The window must not be so wide that the gate has to raise the degree: what a quintic flattens
// is not in the risk, nor in the stated uncertainty.
func TestSmootherNeedsNoRaise(t *testing.T) {
	for seed := range uint64(40) {
		b := newBench(2000 + seed)
		m := newSmoother(t, b.clean)
		if b.name == "free fall" || 2*m.HalfWidth*b.rate < many+1 {
			continue // of few points a raised degree is better than none
		}
		raised, answers := 0, 0
		for _, i := range spread(len(b.clean.times)) {
			if m.judge(b.clean.times[i]) {
				answers++
				if m.window.fit.terms > m.gate.degree+1 {
					raised++
				}
			}
		}
		if raised*20 > answers {
			t.Errorf("%s at %.0f Hz, half width %.3f s: degree raised at %d of %d instants", b.name, b.rate, m.HalfWidth, raised, answers)
		}
		settled := m.HalfWidth
		if m.Settle(); m.gate.degree == smoothDegree && m.HalfWidth != settled {
			t.Errorf("%s at %.0f Hz: half width %.3f s, settled at %.3f s", b.name, b.rate, settled, m.HalfWidth)
		}
	}
}

// With more noise the window must be wider, with quicker motion narrower.
func TestSmootherAdapts(t *testing.T) {
	half := func(p path, sigma float64) float64 { return newSmoother(t, sample(p, 80, 9, sigma, 22)).HalfWidth }
	slow := half(swing(0.05, 0.8), noise)
	if quick := half(swing(0.05, 2), noise); quick > 0.85*slow {
		t.Errorf("half width %g s at 2 Hz, %g s at 0.8 Hz", quick, slow)
	}
	if noisy := half(swing(0.05, 0.8), 10*noise); noisy < 1.2*slow {
		t.Errorf("half width %g s at ten times the noise of %g s", noisy, slow)
	}
}

// Outliers change neither the noise found nor the answers, and gaps stay gaps.
func TestSmootherOutliersAndGap(t *testing.T) {
	p := swing(0.1, 0.8)
	s := sample(p, 80, 9, noise, 23)
	r := rand.New(rand.NewPCG(24, 1))
	s.spoil(func(i int) bool { return i%31 == 20 }, func() float64 { return 0.05 + 0.3*r.Float64() })
	s.times = append(s.times[:300:300], s.times[320:]...)
	s.positions = append(s.positions[:300:300], s.positions[320:]...)
	m := newSmoother(t, s)
	if m.Noise > 1.3*noise {
		t.Errorf("noise %g m, want %g", m.Noise, noise)
	}
	a := m.compare(t, s, p)
	n := float64(a.answers)
	if rms := math.Sqrt(a.squareV / n); rms > 0.003 || a.absent > 4 {
		t.Errorf("deviations %.5f m/s, %d answers absent", rms, a.absent)
	}
	_, _, q := m.At(s.times[20])
	if !q.Outlier {
		t.Errorf("outlier not seen: %+v", q)
	}
	if x, v, q := m.At((s.times[299] + s.times[300]) / 2); !absent(t, x, v, q) {
		t.Errorf("answer in the gap: %v %v", x, v)
	}
}

func TestSmootherRefusals(t *testing.T) {
	_, err := NewSmoother([]int64{1, 2}, []float64{1}, SmoothOptions{})
	if err == nil {
		t.Error("2 times with 1 position: passed")
	}
	if _, err = NewSmoother([]int64{2, 1}, []float64{1, 1}, SmoothOptions{}); !errors.Is(err, ErrOrder) {
		t.Errorf("out of order: %v", err)
	}
	if _, err = NewSmoother([]int64{1}, []float64{math.NaN()}, SmoothOptions{}); !errors.Is(err, ErrValue) {
		t.Errorf("not a number: %v", err)
	}
	var times []int64
	for i := range int64(8) {
		times = append(times, i*20e6)
	}
	if _, err = NewSmoother(times, make([]float64, 8), SmoothOptions{}); err == nil {
		t.Error("8 points: passed")
	}
	if _, err = NewSmoother(append(times, 160e6), make([]float64, 9), SmoothOptions{}); err != nil {
		t.Errorf("9 points: %v", err)
	}
	if _, err = NewSmoother(append(times, 1e9), make([]float64, 9), SmoothOptions{}); err == nil {
		t.Error("8 points, a gap, 1 point: passed")
	}
	if _, err = NewSmoother(times, make([]float64, 8), SmoothOptions{Gap: 2}); err == nil {
		t.Error("gap of 2 s: passed")
	}
	if _, err = NewSmoother(times, make([]float64, 8), SmoothOptions{Acceleration: -1}); err == nil {
		t.Error("negative acceleration: passed")
	}
}
