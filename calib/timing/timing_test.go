package timing

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/proof"
	"joulewell/energy"
	"joulewell/energy/motion"
)

// strokes are those of a hand that keeps no beat, seen by both sensors: the force of a
// spring of 25 N/m that keeps work, late by a lag.
func strokes(seed uint64, lag, seconds float64) (heights, force motion.Series) {
	rng := rand.New(rand.NewPCG(31, seed))
	var a, w, p [4]float64
	for i := range a {
		a[i], w[i], p[i] = 0.02+0.03*rng.Float64(), 2*math.Pi*(0.6+0.8*rng.Float64()), 2*math.Pi*rng.Float64()
	}
	at := func(t float64) (h, v float64) {
		for i := range a {
			sine, cosine := math.Sincos(w[i]*t + p[i])
			h, v = h+a[i]*sine, v+a[i]*w[i]*cosine
		}
		return h + 0.6, v
	}
	for t := 0.0; t < seconds; t += 0.025 {
		h, _ := at(t)
		heights.Times = append(heights.Times, int64(math.Round(t*1e9)))
		heights.Values = append(heights.Values, h+5e-4*rng.NormFloat64())
	}
	for t := 0.3; t < seconds-0.3; t += 1.0 / 81 {
		h, v := at(t - lag)
		f := 3 - 25*(h-0.6) + 3*(h-0.6)*(h-0.6) - 4e-3*math.Tanh(v/0.02)
		force.Times = append(force.Times, int64(math.Round(t*1e9)))
		force.Values = append(force.Values, f+2e-3*rng.NormFloat64())
	}
	return heights, force
}

// Strokes must give the lag within what they state, and to better than 0.2 ms.
func TestStrokesHoldTheTruth(t *testing.T) {
	n := min(200, proof.Trials(12))
	var inside proof.Tally
	square, stated := 0.0, 0.0
	for seed := range uint64(n) {
		lag := 0.003*float64(seed%20) - 0.005
		x, f := strokes(seed, lag, 30)
		r, err := FromStrokes(x, f)
		if err != nil {
			t.Fatal(err)
		}
		off := r.Lag.Value - lag
		square, stated = square+off*off/float64(n), stated+r.Lag.U*r.Lag.U/float64(n)
		inside.Count(math.Abs(off) <= 2*r.Lag.U)
	}
	inside.Check(t, "lag by strokes")
	t.Logf("rms deviation %.3f ms, stated %.3f ms", 1e3*math.Sqrt(square), 1e3*math.Sqrt(stated))
	if square > 2*stated || square < stated/2 || stated > 2e-4*2e-4 {
		t.Errorf("rms deviation %.2g s, stated %.2g s", math.Sqrt(square), math.Sqrt(stated))
	}
}

// swing is a free one that a viscous drag brakes: damped cosine, in closed form, and the
// force that Newton's second law leaves to the spring.
func swing(seed uint64, decay, lag float64) (heights, force motion.Series) {
	const omega, mass = 10.0, 0.25
	rng := rand.New(rand.NewPCG(32, seed))
	at := func(t float64) (h, v float64) {
		sine, cosine := math.Sincos(omega * t)
		e := 0.1 * math.Exp(-decay*t)
		return e * cosine, -e * (decay*cosine + omega*sine)
	}
	for t := 0.0; t < 20; t += 0.025 {
		h, _ := at(t)
		heights.Times = append(heights.Times, int64(math.Round(t*1e9)))
		heights.Values = append(heights.Values, h+5e-4*rng.NormFloat64())
	}
	for t := 0.3; t < 19.7; t += 1.0 / 81 {
		h, v := at(t - lag)
		a := -(decay*decay+omega*omega)*h - 2*decay*v
		force.Times = append(force.Times, int64(math.Round(t*1e9)))
		force.Values = append(force.Values, mass*9.81+mass*(a+2*decay*v)+2e-3*rng.NormFloat64())
	}
	return heights, force
}

// Drag feigns 2 g/w^2 in a swing. Swings alone cannot tell, and say so; with strokes both
// the lag and the share come out.
func TestFrictionIsToldApart(t *testing.T) {
	const lag, decay, omega = 0.025, 0.06, 10.0
	var runs []Run
	for seed := range uint64(3) {
		x, f := swing(seed, decay, lag)
		r, err := FromSwing(x, f, 2*math.Pi/omega, energy.Estimate{Value: decay, U: 0.02 * decay})
		if err != nil {
			t.Fatal(err)
		}
		proof.Near(t, "feigned", r.Feigned.Value, 2*decay/(omega*omega), 1e-12)
		proof.Near(t, "seen", r.Lag.Value, lag+r.Feigned.Value, 4*r.Lag.U)
		runs = append(runs, r)
	}
	alone, err := Combine(runs)
	if err != nil {
		t.Fatal(err)
	}
	if !alone.Doubts.Has(doubt.Friction) || alone.U(Lag) < 3e-4 {
		t.Errorf("swings alone: u %g s, doubts %v", alone.U(Lag), alone.Doubts)
	}
	proof.Near(t, "lag by swings", alone.Values[Lag], lag, 2*alone.U(Lag))
	for seed := range uint64(3) {
		x, f := strokes(seed, lag, 30)
		r, err := FromStrokes(x, f)
		if err != nil {
			t.Fatal(err)
		}
		runs = append(runs, r)
	}
	both, err := Combine(runs)
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "lag", both.Values[Lag], lag, 3*both.U(Lag))
	proof.Near(t, "share of drag", both.Values[Share], 1, 3*both.U(Share))
	if both.U(Lag) > 2e-4 || both.U(Share) > 0.2 {
		t.Errorf("u of lag %g s, of the share %g", both.U(Lag), both.U(Share))
	}
	if s := both.Summary(); !strings.Contains(s, "6 runs") || !strings.Contains(s, "Birge") {
		t.Errorf("summary: %s", s)
	}
}

// 95 % intervals of the combined lag hold the truth, runs with different friction, the
// share drawn as it is thought of beforehand.
func TestCombineHoldsTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(33, 1))
	var held proof.Tally
	for range 2000 {
		share, lag := rng.Float64(), 0.02
		var runs []Run
		for i := range 4 {
			u := 1e-4 * float64(1+i%2)
			feigned := 2e-4 * float64(i)
			runs = append(runs, Run{Lag: energy.Estimate{Value: lag + share*feigned + u*rng.NormFloat64(), U: u}, Feigned: energy.Estimate{Value: feigned}})
		}
		r, err := Combine(runs)
		if err != nil {
			t.Fatal(err)
		}
		held.Add(t, &r.Joint, Lag, lag)
	}
	held.Check(t, "lag of four runs")
}

// Without friction it is the weighted mean: values and Birge ratio by hand, 1 with 1, 3 with 1,
// 2 with 2, weights 1, 1, 1/4: mean 2, chi squared 2, two to spare.
func TestWeightedMean(t *testing.T) {
	ms := func(v, u float64) Run { return Run{Lag: energy.Estimate{Value: 1e-3 * v, U: 1e-3 * u}} }
	r, err := Combine([]Run{ms(1, 1), ms(3, 1), ms(2, 2)})
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "mean", r.Values[Lag], 2e-3, 1e-12)
	proof.Near(t, "u", r.U(Lag), 1e-3/1.5, 1e-12)
	proof.Near(t, "Birge ratio", r.Birge, 1, 1e-9)
	proof.Near(t, "agreement", r.Agreement, math.Exp(-1), 1e-9) // chi squared of two degrees of freedom
	wide, err := Combine([]Run{ms(1, 0.1), ms(3, 0.1), ms(2, 0.2)})
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "u by scatter", wide.U(Lag), 1e-3/1.5, 1e-12)
	if !wide.Doubts.Has(doubt.Scatter) || r.Doubts.Has(doubt.Scatter) {
		t.Errorf("doubts %v and %v", r.Doubts, wide.Doubts)
	}
}

// Ten readings a second are too slow for loops, eighty are not.
func TestSlowConverter(t *testing.T) {
	r := Run{Lag: energy.Estimate{Value: 0.4, U: 1e-3}, Step: 0.1, Period: 0.63}
	for _, c := range []struct {
		step float64
		slow bool
	}{{0.1, true}, {0.0125, false}} {
		r.Step = c.step
		got, err := Combine([]Run{r, r})
		if err != nil {
			t.Fatal(err)
		}
		if got.Doubts.Has(doubt.Slow) != c.slow || !got.Doubts.Has(doubt.Few) {
			t.Errorf("step %g s: doubts %v", c.step, got.Doubts)
		}
	}
}

func TestRefuses(t *testing.T) {
	x, f := strokes(1, 0.02, 30)
	gentle := motion.Series{Times: x.Times}
	for _, h := range x.Values {
		gentle.Values = append(gentle.Values, 0.6+0.05*(h-0.6))
	}
	wrong := motion.Series{Times: f.Times, Values: append([]float64(nil), f.Values...)}
	wrong.Values[7] = math.NaN()
	flat := motion.Series{Times: f.Times, Values: make([]float64, len(f.Values))}
	for i := range flat.Values {
		flat.Values[i] = 3 + 1e-3*float64(i%7)
	}
	for _, c := range []struct {
		name  string
		x, f  motion.Series
		wraps error
	}{
		{"few", x, motion.Series{Times: f.Times[:100], Values: f.Values[:100]}, doubt.ErrFew},
		{"gentle", gentle, f, motion.ErrFeeble},
		{"not a number", x, wrong, doubt.ErrNumber},
		{"force of something else", x, flat, doubt.ErrContradict},
	} {
		if r, err := FromStrokes(c.x, c.f); !errors.Is(err, c.wraps) {
			t.Errorf("%s: %+v, %v", c.name, r, err)
		}
	}
	for _, c := range []struct {
		name   string
		period float64
		decay  float64
		wraps  error
	}{{"period", 0, 0.1, doubt.ErrUnit}, {"decay", 1, math.NaN(), doubt.ErrNumber}} {
		if r, err := FromSwing(x, f, c.period, energy.Estimate{Value: c.decay}); !errors.Is(err, c.wraps) {
			t.Errorf("%s: %+v, %v", c.name, r, err)
		}
	}
	still := motion.Series{Times: x.Times, Values: make([]float64, len(x.Times))}
	if r, err := FromSwing(still, f, 0.6, energy.Estimate{}); !errors.Is(err, motion.ErrFeeble) {
		t.Errorf("at rest: %+v, %v", r, err)
	}
	good := Run{Lag: energy.Estimate{Value: 0.02, U: 1e-4}}
	for _, c := range []struct {
		name  string
		runs  []Run
		wraps error
	}{
		{"none", nil, doubt.ErrFew},
		{"exact", []Run{good, {Lag: energy.Estimate{Value: 0.02}}}, doubt.ErrNumber},
		{"milliseconds", []Run{good, {Lag: energy.Estimate{Value: 20, U: 0.1}}}, doubt.ErrUnit},
	} {
		if r, err := Combine(c.runs); !errors.Is(err, c.wraps) {
			t.Errorf("%s: %+v, %v", c.name, r, err)
		}
	}
}
