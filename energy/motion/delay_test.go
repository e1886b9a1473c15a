package motion

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"
)

const (
	hung   = 0.25  // [kg]
	weight = 2.453 // [N]
)

// weighed is a path watched by two channels: heights at one rate, and at another the
// force that Newton's second law asks for, late by a lag.
func weighed(p path, lag, noiseX, noiseF, seconds float64, seed uint64) (heights, force Series) {
	rng := rand.New(rand.NewPCG(seed, 31))
	for t := 0.0; t < seconds; t += 0.025 {
		if rng.IntN(50) == 0 {
			continue // a lost echo
		}
		heights.Times = append(heights.Times, nanoseconds(t))
		heights.Values = append(heights.Values, p.position(t)+noiseX*rng.NormFloat64())
	}
	for t := 0.0031; t < seconds; t += 1.0 / 81 {
		const h = 1e-4
		a := (p.velocity(t-lag+h) - p.velocity(t-lag-h)) / (2 * h)
		force.Times = append(force.Times, nanoseconds(t))
		force.Values = append(force.Values, weight+hung*a+noiseF*rng.NormFloat64())
	}
	return heights, force
}

// The lag must be found without knowing what makes the force, for swings and for paths that
// are none, and lie within its stated uncertainty.
func TestDelayHoldsTheTruth(t *testing.T) {
	for _, c := range []struct {
		p    path
		half float64
	}{{swing(0.1, 1.6), 0.31}, {wander(4), 0.3}, {swing(0.03, 0.8), 0.6}} {
		var square, u2 float64
		inside := 0
		const runs = 40
		for seed := range uint64(runs) {
			lag := 0.004*float64(seed) - 0.03
			x, f := weighed(c.p, lag, 1e-3, 2e-3, 15, seed)
			d, err := FindDelay(x, f, c.half)
			if err != nil {
				t.Fatalf("%s, seed %d: %v", c.p.name, seed, err)
			}
			off := d.Lag.Value - lag
			square, u2 = square+off*off, u2+d.Lag.U*d.Lag.U
			if math.Abs(off) <= 2*d.Lag.U {
				inside++
			}
			if math.Abs(d.Mass.Value-hung) > 5*d.Mass.U+0.02*hung {
				t.Errorf("%s, seed %d: mass %g, u %g, want %g", c.p.name, seed, d.Mass.Value, d.Mass.U, hung)
			}
		}
		rms, u := math.Sqrt(square/runs), math.Sqrt(u2/runs)
		t.Logf("%-18s rms deviation %.3f ms, stated %.3f ms, %d of %d inside", c.p.name, 1e3*rms, 1e3*u, inside, runs)
		if inside < 33 || rms > 1.2*u || rms < 0.8*u {
			t.Errorf("%s: deviations of %.3g s, stated %.3g s, %d of %d inside two of them", c.p.name, rms, u, inside, runs)
		}
	}
}

// Short records must state what they leave unsure as well as long ones: deviations over
// stated uncertainties have a mean square of about one.
func TestDelayCoversInShortRecords(t *testing.T) {
	const lag, runs = 0.01, 200
	for _, c := range []struct {
		p             path
		half, seconds float64
	}{{swing(0.1, 1.6), 0.31, 5}, {swing(0.1, 1.6), 0.31, 15}, {swing(0.03, 0.8), 0.6, 15}, {wander(4), 0.3, 15}} {
		square, inside := 0.0, 0
		for seed := range uint64(runs) {
			x, f := weighed(c.p, lag, 1e-3, 2e-3, c.seconds, seed)
			d, err := FindDelay(x, f, c.half)
			if err != nil {
				t.Fatal(err)
			}
			off := (d.Lag.Value - lag) / d.Lag.U
			square += off * off / runs
			if math.Abs(off) < 1.96 {
				inside++
			}
		}
		rms := math.Sqrt(square)
		t.Logf("%s, %g s: rms deviation %.2f stated ones, %d of %d inside 95 %%", c.p.name, c.seconds, rms, inside, runs)
		if rms > 1.15 || rms < 0.8 || inside < runs*90/100 {
			t.Errorf("%s, %g s: rms deviation %.2f stated ones, %d of %d inside 95 %%", c.p.name, c.seconds, rms, inside, runs)
		}
	}
}

// Friction in step with the velocity feigns 2 g/w^2, as the comment warns.
func TestFrictionFeignsADelay(t *testing.T) {
	const rate, omega = 0.2, 10.0
	var x, f Series
	for n := range 4000 {
		at := float64(n) * 0.004
		e := 0.1 * math.Exp(-rate*at)
		sin, cos := math.Sincos(omega * at)
		height, velocity := e*cos, -e*(rate*cos+omega*sin)
		a := -(rate*rate+omega*omega)*height - 2*rate*velocity
		x.Times, x.Values = append(x.Times, nanoseconds(at)), append(x.Values, height)
		f.Times, f.Values = append(f.Times, nanoseconds(at)), append(f.Values, weight+hung*(a+2*rate*velocity))
	}
	d, err := FindDelay(x, f, math.Pi/omega)
	if err != nil {
		t.Fatal(err)
	}
	if want := 2 * rate / (omega * omega); math.Abs(d.Lag.Value-want) > 0.05*want {
		t.Errorf("feigned delay = %g s, want %g", d.Lag.Value, want)
	}
}

// False distances spoil the windows they stand in, and no more.
func TestDelayBearsFalseDistances(t *testing.T) {
	x, f := weighed(swing(0.1, 1.6), 0.025, 5e-4, 2e-3, 20, 3)
	for i := 40; i < len(x.Values); i += 120 {
		x.Values[i] -= 0.3
	}
	d, err := FindDelay(x, f, 0.31)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(d.Lag.Value-0.025) > 4*d.Lag.U || d.Lag.U > 1e-3 {
		t.Errorf("lag = %+v, want 0.025", d.Lag)
	}
}

func TestDelayRefuses(t *testing.T) {
	x, f := weighed(swing(0.1, 1.6), 0.01, 1e-3, 2e-3, 15, 1)
	rest, weightOnly := weighed(swing(0, 1.6), 0, 1e-3, 2e-3, 15, 1)
	shortX, shortF := weighed(swing(0.1, 1.6), 0, 1e-3, 2e-3, 1.5, 1)
	upside := Series{f.Times, nil}
	for _, v := range f.Values {
		upside.Values = append(upside.Values, -v)
	}
	for _, c := range []struct {
		name   string
		x, f   Series
		half   float64
		feeble bool
	}{
		{"bob at rest", rest, weightOnly, 0.31, true},
		{"too short", shortX, shortF, 0.31, true},
		{"no force", x, Series{}, 0.31, true},
		{"force of a bob at rest", x, weightOnly, 0.31, true},
		{"no width", x, f, 0, false},
		{"width not a number", x, f, math.NaN(), false},
	} {
		d, err := FindDelay(c.x, c.f, c.half)
		if err == nil || errors.Is(err, ErrFeeble) != c.feeble {
			t.Errorf("%s: %+v, %v; want a refusal, too little motion: %t", c.name, d, err, c.feeble)
		}
	}
	if d, err := FindDelay(x, upside, 0.31); err == nil && math.Abs(d.Lag.Value) < 0.1 {
		t.Errorf("a force that pushes down when the bob is pulled up: %+v", d)
	}
}
