package motion

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"joulewell/energy"
)

// spoil adds a false distance to the points for which bad reports true.
func (s stream) spoil(bad func(i int) bool, by func() float64) map[int]bool {
	spoilt := map[int]bool{}
	for i := range s.positions {
		if bad(i) {
			s.positions[i] += by()
			spoilt[i] = true
		}
	}
	return spoilt
}

// Single false echoes are set aside, nothing else is, and the answers near them stay
// as good as elsewhere.
func TestSingleOutliers(t *testing.T) {
	for _, p := range []path{still(), swing(0.1, 0.8), swing(0.1, 1.5), stiffening()} {
		for _, rate := range []float64{40, 80, 400, 1000} {
			r := rand.New(rand.NewPCG(9, 9))
			s := sample(p, rate, min(4, 600/rate), noise, 8)
			spoilt := s.spoil(
				func(i int) bool { return i%31 == 20 },
				func() float64 { return (0.03 + 0.5*r.Float64()) * float64(1-2*r.IntN(2)) })
			missed, wrong, absences := 0, 0, 0
			worst := 0.0
			l := newLive(t, LiveOptions{})
			s.through(t, l, func(i int, x, v energy.Estimate, q Quality) {
				if i < 12 {
					return
				}
				switch {
				case spoilt[i] && !q.Outlier:
					missed++
				case !spoilt[i] && q.Outlier:
					wrong++
				}
				if absent(t, x, v, q) {
					absences++
					return
				}
				worst = max(worst, math.Abs(v.Value-p.velocity(float64(s.times[i])*1e-9))/v.U)
			})
			if missed+wrong > 0 || absences > len(s.times)/100 || worst > 6 {
				t.Errorf("%s at %g Hz: %d missed, %d wrongly left out, %d answers absent, largest deviation %.1f u",
					p.name, rate, missed, wrong, absences, worst)
			}
		}
	}
}

// A burst of false echoes may cost answers, but must not bring forth false ones.
func TestBursts(t *testing.T) {
	for _, test := range []struct {
		rate   float64
		length int
		absent float64 // share of the answers that may be missing
	}{
		// At 25 points a second seven reach as far back as the window may: there is
		// no answer until a burst is out of it.
		{25, 1, 0.1}, {25, 2, 0.5}, {40, 2, 0.1}, {40, 3, 0.3}, {80, 3, 0.1}, {400, 8, 0.02}, {1000, 20, 0.02},
	} {
		p := swing(0.1, 0.8)
		var all tally
		for seed := range uint64(4) {
			r := rand.New(rand.NewPCG(10, seed))
			s := sample(p, test.rate, 800/test.rate, noise, 11+seed)
			period := 30 + 2*test.length
			s.spoil(func(i int) bool { return i%period >= period-test.length },
				func() float64 { return 0.05 + 0.5*r.Float64() })
			a := s.follow(t, p, LiveOptions{})
			all.answers += a.answers
			all.absent += a.absent
			all.worst = max(all.worst, a.worst)
		}
		if share := float64(all.absent) / float64(all.absent+all.answers); share > test.absent || all.worst > 0.15 {
			t.Errorf("%g Hz, bursts of %d: %.3f of the answers absent, largest deviation of the velocity %.3f m/s",
				test.rate, test.length, share, all.worst)
		}
	}
}

// False echoes are found also where the noise is larger than stated.
func TestOutliersInUnderstatedNoise(t *testing.T) {
	s := sample(swing(0.1, 0.8), 400, 3, 4*noise, 20)
	spoilt := s.spoil(func(i int) bool { return i%31 == 20 }, func() float64 { return 0.05 })
	found, absences := 0, 0
	s.through(t, newLive(t, LiveOptions{}), func(i int, x, v energy.Estimate, q Quality) {
		if absent(t, x, v, q) && i > 10 {
			absences++
		}
		if q.Outlier && spoilt[i] {
			found++
		}
	})
	if share := float64(found) / float64(len(spoilt)); share < 0.9 || absences > len(s.times)/100 {
		t.Errorf("found %.3f of them, %d answers absent", share, absences)
	}
}

// With no majority of good points there is no answer.
func TestNoiseOnly(t *testing.T) {
	s := sample(still(), 80, 10, 0.3, 12)
	a := s.follow(t, still(), LiveOptions{})
	if share := float64(a.answers) / float64(a.answers+a.absent); share > 0.02 {
		t.Errorf("%.3f of the instants of a stream of rubbish got an answer", share)
	}
}

// An answer needs points about the asked instant also after outliers are gone.
func TestOutliersMakeGap(t *testing.T) {
	l := newLive(t, LiveOptions{Gap: 0.03})
	for i := range int64(60) {
		x := 1.0
		if i == 30 || i == 31 {
			x = 1.4
		}
		if err := l.Add(i*12_500_000, x); err != nil {
			t.Fatal(err)
		}
	}
	x, v, q := l.At(31 * 12_500_000)
	if !absent(t, x, v, q) || !q.Outlier || q.LeftOut != 2 {
		t.Errorf("inside: %v %v %+v", x, v, q)
	}
	x, v, q = l.At(35 * 12_500_000)
	if absent(t, x, v, q) || q.Outlier {
		t.Errorf("beside: %v %v %+v", x, v, q)
	}
	near(t, "position beside", x.Value, 1, 1e-9)
	x, v, q = l.At(29 * 12_500_000)
	if !absent(t, x, v, q) || q.Outlier || q.LeftOut != 2 {
		t.Errorf("just before: %v %v %+v", x, v, q)
	}
}

// Small false echoes in a dense stream are found, also where they hardly raise the scatter of
// so many points. Of seven standard deviations noise takes two off now and then.
func TestSmallOutliers(t *testing.T) {
	for _, test := range []struct {
		rate, by, found float64
		every           int
	}{{400, 10, 0.95, 31}, {1500, 7, 0.7, 113}} {
		s := sample(swing(0.1, 0.8), test.rate, 3, noise, 19)
		spoilt := s.spoil(func(i int) bool { return i%test.every == 20 }, func() float64 { return test.by * noise })
		found, wrong := 0, 0
		s.through(t, newLive(t, LiveOptions{}), func(i int, _, _ energy.Estimate, q Quality) {
			switch {
			case q.Outlier && spoilt[i]:
				found++
			case q.Outlier:
				wrong++
			}
		})
		if share := float64(found) / float64(len(spoilt)); share < test.found || wrong > 0 {
			t.Errorf("%g Hz: found %.3f of them, and %d others", test.rate, share, wrong)
		}
	}
}

// No fit may claim that the bob moved as nothing that hangs on a spring does.
func TestImplausibleAcceleration(t *testing.T) {
	knock := path{"knock", func(t float64) float64 { return 100 * t * t }, func(t float64) float64 { return 200 * t }}
	s := sample(knock, 80, 2, 0, 13)
	if a := s.follow(t, knock, LiveOptions{}); a.answers > 0 {
		t.Errorf("%d answers at 200 m/s2", a.answers)
	}
	if a := s.follow(t, knock, LiveOptions{Acceleration: 250}); a.absent > 0 {
		t.Errorf("%d answers absent where 250 m/s2 are allowed", a.absent)
	}
}

// The limits are met by windows of plain noise about as often as their comment says:
// chi-squared probabilities by gonum, which knows nothing of our formula.
func TestLimits(t *testing.T) {
	near(t, "median of chi-squared with three degrees of freedom", medianChi3, distuv.ChiSquared{K: 3}.Quantile(0.5), 1e-9)
	for dof := 1.0; dof <= 20; dof++ {
		chi := distuv.ChiSquared{K: dof}
		if p := chi.Survival(ordinary(dof)); p > 0.01 || dof < 6 && p < 0.001 {
			t.Errorf("%g degrees of freedom: ordinary limit passed with probability %.2g", dof, p)
		}
		if p := chi.Survival(unsuspicious(dof)); p > 5e-5 || dof < 6 && p < 2e-6 {
			t.Errorf("%g degrees of freedom: unsuspicious limit passed with probability %.2g", dof, p)
		}
	}
}

func TestChoose(t *testing.T) {
	for n := 4; n <= 2*side+1; n++ {
		for terms := 2; terms <= min(maxTerms, n); terms++ {
			seen := map[int]bool{}
			for try := range tries {
				into := make([]int, terms)
				choose(into, n, try)
				for i, k := range into {
					if k < 0 || k >= n || i > 0 && k <= into[i-1] {
						t.Fatalf("%d of %d, try %d: %v", terms, n, try, into)
					}
					seen[k] = true
				}
			}
			if n <= 16 && len(seen) < n {
				t.Errorf("%d of %d: only %d ever chosen", terms, n, len(seen))
			}
		}
	}
}

func TestQuantile(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 9))
	var w window
	for range 500 {
		w.n = 1 + r.IntN(maxN)
		var sorted []float64
		for i := range w.n {
			w.r[i] = float64(r.IntN(50)) - 25 // with ties
			sorted = append(sorted, math.Abs(w.r[i]))
		}
		slices.Sort(sorted)
		k := r.IntN(w.n)
		if got := w.quantile(k + 1); got != sorted[k] {
			t.Fatalf("number %d of %d: %g, want %g", k+1, w.n, got, sorted[k])
		}
	}
}
