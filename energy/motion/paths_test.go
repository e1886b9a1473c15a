package motion

import (
	"math"
	"math/rand/v2"
	"testing"

	"joulewell/energy"
)

const noise = 0.0003 // [m] of one position, as of a good ultrasonic ranger

// path is a motion with its velocity, both as functions of time [s].
type path struct {
	name     string
	position func(t float64) float64
	velocity func(t float64) float64
}

// stream is a seeded stream of points of a path.
type stream struct {
	times     []int64
	positions []float64
}

// sample takes points of p at the given rate [Hz] for so many seconds, the instants
// off by up to 3 % of the interval, with normal noise of standard deviation sigma.
func sample(p path, rate, seconds, sigma float64, seed uint64) stream {
	r := rand.New(rand.NewPCG(seed, 1))
	var s stream
	for i := range int(rate * seconds) {
		t := int64((float64(i) + 0.03*r.Float64()) / rate * 1e9)
		s.times = append(s.times, t)
		s.positions = append(s.positions, p.position(float64(t)*1e-9)+sigma*r.NormFloat64())
	}
	return s
}

func newLive(t testing.TB, o LiveOptions) *Live {
	t.Helper()
	if o.Noise == 0 {
		o.Noise = noise
	}
	l, err := NewLive(o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// through adds the points to l and asks for an answer at each as soon as the lag
// allows, as the daemon does.
func (s stream) through(t testing.TB, l *Live, answer func(i int, x, v energy.Estimate, q Quality)) {
	t.Helper()
	asked := 0
	for i := range s.times {
		if err := l.Add(s.times[i], s.positions[i]); err != nil {
			t.Fatal(err)
		}
		for ; s.times[asked]+l.Lag() <= s.times[i]; asked++ {
			x, v, q := l.At(s.times[asked])
			answer(asked, x, v, q)
		}
	}
}

// swing is x = 1 + a sin(2 pi f t + 0.3).
func swing(a, f float64) path {
	w := 2 * math.Pi * f
	return path{"swing",
		func(t float64) float64 { return 1 + a*math.Sin(w*t+0.3) },
		func(t float64) float64 { return a * w * math.Cos(w*t+0.3) }}
}

func still() path {
	return path{"hanging still", func(float64) float64 { return 1.2 }, func(float64) float64 { return 0 }}
}

func fall() path {
	return path{"free fall",
		func(t float64) float64 { return 2 - 9.81*t*t/2 },
		func(t float64) float64 { return -9.81 * t }}
}

func ramp() path {
	return path{"carried by hand", func(t float64) float64 { return 0.5 + 0.4*t }, func(float64) float64 { return 0.4 }}
}

// wander is a sum of a dozen slow sines of random amplitude and phase.
func wander(seed uint64) path {
	r := rand.New(rand.NewPCG(seed, 2))
	var a, w, phase [12]float64
	for i := range a {
		a[i], w[i], phase[i] = 0.02*r.NormFloat64(), 2*math.Pi*1.5*r.Float64(), 2*math.Pi*r.Float64()
	}
	return path{"random smooth path",
		func(t float64) (x float64) {
			for i := range a {
				x += a[i] * math.Sin(w[i]*t+phase[i])
			}
			return x
		},
		func(t float64) (v float64) {
			for i := range a {
				v += a[i] * w[i] * math.Cos(w[i]*t+phase[i])
			}
			return v
		}}
}

// stiffening is a bob on a spring whose force grows with the cube of its extension as
// well, x” = -40 x - 4000 x^3 - 0.3 v, integrated by Runge and Kutta's fourth-order
// rule at 0.1 ms: nothing a sinusoid fits.
func stiffening() path {
	const h = 1e-4
	accelerate := func(x, v float64) float64 { return -40*x - 4000*x*x*x - 0.3*v }
	x, v := []float64{0.15}, []float64{0.0}
	for i := range 100_000 {
		k1, l1 := v[i], accelerate(x[i], v[i])
		k2, l2 := v[i]+h/2*l1, accelerate(x[i]+h/2*k1, v[i]+h/2*l1)
		k3, l3 := v[i]+h/2*l2, accelerate(x[i]+h/2*k2, v[i]+h/2*l2)
		k4, l4 := v[i]+h*l3, accelerate(x[i]+h*k3, v[i]+h*l3)
		x = append(x, x[i]+h/6*(k1+2*k2+2*k3+k4))
		v = append(v, v[i]+h/6*(l1+2*l2+2*l3+l4))
	}
	between := func(y, slope []float64, t float64) float64 {
		i := int(t / h)
		return y[i] + slope[i]*(t-float64(i)*h)
	}
	return path{"stiffening spring",
		func(t float64) float64 { return between(x, v, t) },
		func(t float64) float64 { return v[int(t/h+0.5)] }}
}

// tally compares answers with the path they come from.
type tally struct {
	answers, absent, outliers int
	insideX, insideV          int     // within 1.96 standard uncertainties
	squareX, squareV          float64 // sums of squared deviations
	u2, noise2                float64 // sums of squared uncertainties of the velocity, and of the part from stated noise
	worst                     float64 // largest deviation of the velocity
}

// follow tallies the answers at the points of s, but for the first ones.
func (s stream) follow(t *testing.T, p path, o LiveOptions) tally {
	t.Helper()
	l := newLive(t, o)
	var a tally
	s.through(t, l, func(i int, x, v energy.Estimate, q Quality) {
		if s.times[i] < s.times[0]+l.reach.farthest {
			return
		}
		if q.Outlier {
			a.outliers++
		}
		if absent(t, x, v, q) {
			a.absent++
			return
		}
		a.answers++
		at := float64(s.times[i]) * 1e-9
		dx, dv := x.Value-p.position(at), v.Value-p.velocity(at)
		a.squareX += dx * dx
		a.squareV += dv * dv
		a.u2 += v.U * v.U
		a.noise2 += q.VelocityNoise * q.VelocityNoise
		a.worst = max(a.worst, math.Abs(dv))
		if math.Abs(dx) <= 1.96*x.U {
			a.insideX++
		}
		if math.Abs(dv) <= 1.96*v.U {
			a.insideV++
		}
	})
	return a
}
