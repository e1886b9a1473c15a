package virtual

import (
	"fmt"
	"math"
	"testing"
)

// The period of a bob on a uniform spring: omega = x sqrt(k/m_s) with x tan x = ratio
// of the spring's mass to the bob's.
func TestPeriodOfAMassiveSpring(t *testing.T) {
	for _, c := range []struct{ ratio, x float64 }{
		// First root of x tan x = C, printed to four digits: Essentials of Applied
		// Mathematics for Scientists and Engineers (2007), table A.1; more digits
		// recomputed.
		{0.1, 0.311052848200298}, {0.5, 0.6532711870944}, {1, 0.86033358901938},
		// Own derivation, recomputed.
		{0.01, 0.0998336385511264}, {0.25, 0.480094436957391}, {2, 1.0768739863118}, {10, 1.42887001121408},
	} {
		t.Run(fmt.Sprintf("ratio=%g", c.ratio), func(t *testing.T) {
			cfg := plain(c.ratio)
			cfg.Spring.Coils = 100
			if quick() {
				cfg.Spring.Coils = 25
			}
			cfg.Hand.Pull = 0.9 * cfg.Bob.Mass * cfg.Gravity / cfg.Spring.Rate // a small swing
			r := rigOf(t, cfg)
			middle, _ := r.chain.stretch(cfg.Bob.Mass * cfg.Gravity)
			want := 2 * math.Pi / (c.x * math.Sqrt(cfg.Spring.Rate/cfg.Spring.Mass))
			const periods = 40
			first := crossing(r, middle, 0, want)
			last := crossing(r, middle, first+int64((periods-0.5)*want*1e9), want)
			got := float64(last-first) * 1e-9 / periods
			near(t, "period [s]", got, want, 5e-4*want)
			t.Logf("relative deviation %.1e", got/want-1)
		})
	}
}

// crossing returns the first instant [ns] after from at which the bob passes the
// middle downward, for a period of about T [s].
func crossing(r *Rig, middle float64, from int64, T float64) int64 {
	stride := int64(T * 1e9 / 400)
	was := math.Inf(1)
	for t := from; ; t += stride {
		now := r.At(t).Extension
		if was < middle && now >= middle {
			return t - stride + int64(float64(stride)*(middle-was)/(now-was))
		}
		was = now
	}
}

// A drop from the hanging spring, as shares of the energy exchanged and of 2Mg/k.
// Exact solution as a travelling wave, own derivation, recomputed there by a chain of
// 400 beads with velocity Verlet.
var drops = []struct{ ratio, way, lowest, fall, time float64 }{
	{0.01, 3.31995506e-5, -1.04268295e-6, 0.999998952, 0.999980446},
	{0.05, 3.76519579e-4, -4.47536612e-5, 0.999954125, 1.00019324},
	{0.1, 1.05558331e-3, -1.80135439e-4, 0.999810822, 1.00048233},
	{0.2, 2.9187241e-3, -2.56751838e-4, 0.999717493, 0.998539483},
	{0.4, 6.77803468e-3, -1.1564513e-3, 0.998610327, 0.995813664},
	{1, 1.98898776e-2, -8.52768849e-3, 0.987040519, 0.995909526},
}

func TestDropOfAMassiveSpring(t *testing.T) {
	for _, want := range drops {
		t.Run(fmt.Sprintf("ratio=%g", want.ratio), func(t *testing.T) {
			cfg := plain(want.ratio)
			cfg.Spring.Coils = 400
			tol := 2e-6
			if quick() {
				cfg.Spring.Coils, tol = 100, 16*tol // of second order
			}
			r := rigOf(t, cfg)
			half := math.Pi / r.chain.slowest() // about half a period [s]
			begin := r.At(0)
			end := turning(r, int64(0.5*half*1e9), int64(half*1e9/200))
			low := rigOf(t, cfg).At(end)

			mg := cfg.Bob.Mass * cfg.Gravity
			exchanged := (2 + want.ratio) * mg * mg / cfg.Spring.Rate
			near(t, "fall/(2Mg/k)", (low.Extension-begin.Extension)/(2*mg/cfg.Spring.Rate), want.fall, tol)
			x := fractionRoot(want.ratio)
			period := 2 * math.Pi / (x * math.Sqrt(cfg.Spring.Rate/cfg.Spring.Mass))
			near(t, "time/(T/2)", float64(end)*1e-9/(period/2), want.time, 10*tol)

			slow := func(s Truth) float64 { // energy as if the stretch were spread as in slow stretching
				m := cfg.Bob.Mass + cfg.Spring.Mass/3
				return m*s.Velocity*s.Velocity/2 + cfg.Spring.Rate*s.Extension*s.Extension/2 -
					(mg+cfg.Spring.Mass*cfg.Gravity/2)*s.Extension
			}
			near(t, "share at the lowest point", (slow(low)-slow(begin))/exchanged, want.lowest, tol)
			worst, again := 0.0, rigOf(t, cfg)
			for at := int64(0); at < end; at += end / 5000 {
				worst = max(worst, math.Abs(slow(again.At(at))-slow(begin))/exchanged)
			}
			near(t, "largest share on the way", worst, want.way, tol+1e-4*want.way)
		})
	}
}

// fractionRoot returns the first root of x tan x = ratio by bisection.
func fractionRoot(ratio float64) float64 {
	low, high := 0.0, math.Pi/2
	for range 100 {
		if m := (low + high) / 2; m*math.Tan(m) < ratio {
			low = m
		} else {
			high = m
		}
	}
	return low
}

// The discretisation falls with the square of the number of coils.
func TestPeriodConverges(t *testing.T) {
	off := func(coils int) float64 {
		cfg := plain(0.5)
		cfg.Spring.Coils = coils
		k := newChain(&cfg)
		// The lowest mode of the chain: beads at sin(q i), bob at the end.
		low, high := 0.0, math.Pi/2/float64(coils)
		omega2 := func(q float64) float64 { return 4 * k.law.rate / k.bead * math.Sin(q/2) * math.Sin(q/2) }
		for range 100 {
			q := (low + high) / 2
			n := float64(coils)
			force := k.law.rate * (math.Sin(q*n) - math.Sin(q*(n-1)))
			if force > k.end*omega2(q)*math.Sin(q*n) {
				low = q
			} else {
				high = q
			}
		}
		return math.Sqrt(omega2(low))/(0.6532711870944*math.Sqrt(cfg.Spring.Rate/cfg.Spring.Mass)) - 1
	}
	for _, n := range []int{10, 20, 40} {
		near(t, fmt.Sprintf("deviation at %d coils over that at %d", n, 2*n), off(n)/off(2*n), 4, 0.05)
	}
}

// A light spring drops 2Mg/k and swings with sqrt(k/(M + m_s/3)) (Rayleigh 1877).
func TestMasslessSpring(t *testing.T) {
	for _, mass := range []float64{0, 1e-7, 2e-5} {
		cfg := plain(0)
		cfg.Spring.Mass = mass
		r := rigOf(t, cfg)
		if r.chain.coils != 1 {
			t.Fatalf("spring of %g kg has %d coils, want 1", mass, r.chain.coils)
		}
		end := turning(r, 1e8, 1e6)
		near(t, "fall [m]", r.At(end).Extension-r.start, 2*cfg.Bob.Mass*cfg.Gravity/cfg.Spring.Rate, 1e-9)
		near(t, "half period [s]", float64(end)*1e-9, math.Pi*math.Sqrt((cfg.Bob.Mass+mass/3)/cfg.Spring.Rate), 1e-6)
	}
}

// Static stretch of a uniform hanging spring of 60 g and 25 N/m at 9.80665 m/s2. Own
// derivation, recomputed: a coil opens only where load and weight below exceed the
// initial tension.
func TestStaticStretch(t *testing.T) {
	for _, c := range []struct{ load, tension, want float64 }{
		{0, 0, 0.01176798},
		{0.25 * 9.80665, 0, 0.10983448},
		{0, 0.2, 0.005127601617303904},
		{0, 0.5, 0.000265615108149402},
		{0, 0.7, 0},
		{0.1, 0.3, 0.005127601617303904},
		{0.5, 0.3, 0.01976798},
	} {
		cfg := plain(0.24)
		cfg.Spring.InitialTension = c.tension
		cfg.Spring.Coils, cfg.Spring.Contact = 1000, 1e6
		k := newChain(&cfg)
		got, _ := k.stretch(c.load)
		tol := 1e-12
		if c.tension > 0 { // closed coils give way a little, and coils open one by one
			tol = 1.2e-8
		}
		near(t, fmt.Sprintf("stretch under %g N with F0 = %g N", c.load, c.tension), got, c.want, tol)
	}
}

// Elastic energy of the hanging spring and the place of its centre of mass. Own
// derivation, recomputed.
func TestStaticEnergies(t *testing.T) {
	cfg := plain(0.24)
	cfg.Spring.Coils = 1000
	r := rigOf(t, cfg)
	k := r.chain
	x, _ := k.stretch(cfg.Bob.Mass * cfg.Gravity)
	u := make([]float64, k.coils)
	k.shape(u, x)
	near(t, "elastic energy beyond kX2/2 [J]", k.elastic(u)-cfg.Spring.Rate*x*x/2, 0.000577022305335, 1e-9)
	half := cfg.Bob.Mass*cfg.Gravity*(k.floor-x) + cfg.Spring.Mass*cfg.Gravity*(cfg.Support-(cfg.Spring.NaturalLength+x)/2)
	near(t, "centre of mass below half the length [m]", (half-k.gravitational(u))/(cfg.Spring.Mass*cfg.Gravity), 0.00196133, 5e-9)
}

// The law of a coil: continuous, open exactly on the line F0 + k x, force the
// derivative of energy, extension the inverse of force.
func TestCoil(t *testing.T) {
	for _, tension := range []float64{0, 0.3} {
		c := newCoil(&Spring{Rate: 25, InitialTension: tension, Contact: 32}, 40)
		near(t, "energy at rest", c.energy(0), 0, 0)
		near(t, "force at rest", c.force(0), 0, 0)
		for _, x := range []float64{-0.002, -1e-6, 1e-7, 5e-6, 1e-5, 2e-5, 1e-3, 0.02} {
			const h = 1e-8
			near(t, fmt.Sprintf("slope of energy at %g", x), (c.energy(x+h)-c.energy(x-h))/(2*h), c.force(x), 1e-4)
			back, slope := c.extension(c.force(x))
			near(t, fmt.Sprintf("extension of force at %g", x), back, x, 1e-15)
			near(t, "slope of the inverse", slope, 2*h/(c.force(x+h)-c.force(x-h)), 1e-6)
			if open := tension + 1000*x; x > 1e-5 {
				near(t, "force of the open coil", c.force(x), open, 1e-15)
			}
		}
	}
}
