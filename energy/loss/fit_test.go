package loss

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/energy"
)

// half returns parameters of a model, all parts equally strong, under which a first
// amplitude of 5 cm comes down to a share of it in n half swings.
func half(m Model, share float64, n int) []float64 {
	parameters := func(s float64) []float64 {
		p := make([]float64, len(m.Parameters))
		for i, q := range m.Parameters {
			p[i] = s * q.scaled(0.05*(1+share)/2)
			switch q.Part {
			case Sliding:
				p[i] /= 2
			case Quadratic:
				p[i] *= 0.75
			}
		}
		return p
	}
	low, high := 0.0, 1.0
	for range 60 {
		if middle := (low + high) / 2; m.Amplitudes(0.05, parameters(middle), n)[n] > 0.05*share {
			low = middle
		} else {
			high = middle
		}
	}
	return parameters(low)
}

// 95 % intervals of every fitted number, and of the work of every part, against the
// truth; and the sum of squares against its degrees of freedom.
func TestFitHoldsTheTruth(t *testing.T) {
	trials := 700
	if testing.Short() {
		trials = 100
	}
	rate := energy.Estimate{Value: 20, U: 1e-9}
	for _, m := range models {
		t.Run(m.Name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(31, 1))
			truth := half(m, 0.4, 30)
			work := m.lost(0.05, truth, 4, 20)
			var first, parameters, works hits
			var chi float64
			for range trials {
				record := turned(rng, m, 0.05, truth, 30, 5e-5)
				record = append(record[:11], record[15:]...)
				f, err := FitDecay(m, record)
				if err != nil {
					t.Fatal(err)
				}
				chi += f.ChiSquared / float64(f.Freedom) / float64(trials)
				first.add(f.First, 0.05)
				for i, p := range f.Parameters {
					parameters.add(p, truth[i])
				}
				for i, w := range f.Work(rate, 4, 20) {
					works.add(w.Work, rate.Value*work[i])
				}
			}
			near(t, "chi-squared over degrees of freedom", chi, 1, 4*math.Sqrt(2/22.0/float64(trials)))
			first.check(t, "first amplitude")
			if len(truth) > 0 {
				parameters.check(t, "parameters")
				works.check(t, "work")
			}
		})
	}
}

// Scaling all lengths must scale what is a length, and nothing else.
func TestFitScalesWithLength(t *testing.T) {
	rng := rand.New(rand.NewPCG(32, 1))
	const by = 37.0
	for _, m := range models {
		record := turned(rng, m, 0.05, half(m, 0.5, 30), 30, 5e-5)
		large := append([]Turning(nil), record...)
		for i := range large {
			large[i].Extension.Value *= by
			large[i].Extension.U *= by
		}
		f, err := FitDecay(m, record)
		if err != nil {
			t.Fatal(err)
		}
		g, err := FitDecay(m, large)
		if err != nil {
			t.Fatal(err)
		}
		near(t, m.Name+": chi-squared", g.ChiSquared, f.ChiSquared, 1e-5)
		near(t, m.Name+": first amplitude", g.First.Value, by*f.First.Value, 1e-5*g.First.U)
		for i, p := range f.Parameters {
			scale := m.Parameters[i].scaled(by)
			near(t, m.Name+": "+m.Parameters[i].Name, g.Parameters[i].Value, scale*p.Value, 1e-3*g.Parameters[i].U)
			near(t, m.Name+": u of "+m.Parameters[i].Name, g.Parameters[i].U, scale*p.U, 1e-3*g.Parameters[i].U)
		}
	}
}

// A swing that grows cannot be had with a friction below zero: it stays at zero, with
// an uncertainty.
func TestParametersStayPositive(t *testing.T) {
	rng := rand.New(rand.NewPCG(33, 1))
	record := turned(rng, viscous, 0.05, []float64{-0.001}, 20, 1e-4)
	for _, m := range models[1:] {
		f, err := FitDecay(m, record)
		if err != nil {
			t.Fatal(err)
		}
		for i, p := range f.Parameters {
			if p.Value != 0 || !(p.U > 0) {
				t.Errorf("%s: %s = %g with uncertainty %g, want 0 with some", m.Name, m.Parameters[i].Name, p.Value, p.U)
			}
		}
	}
}

// A parameter held at zero still makes the others less sure: its own doubt is theirs.
func TestParameterAtZeroLeavesItsDoubt(t *testing.T) {
	rng := rand.New(rand.NewPCG(35, 1))
	tried := 0
	for range 40 {
		record := turned(rng, viscous, 0.05, half(viscous, 0.4, 40), 40, 1e-4)
		alone, err := FitDecay(viscous, record)
		if err != nil {
			t.Fatal(err)
		}
		both, err := FitDecay(viscousSliding, record)
		if err != nil {
			t.Fatal(err)
		}
		if both.Parameters[1].Value > 0 {
			continue
		}
		tried++
		near(t, "decrement", both.Parameters[0].Value, alone.Parameters[0].Value, 1e-3*alone.Parameters[0].U)
		if !(both.Parameters[0].U > 2*alone.Parameters[0].U) {
			t.Errorf("uncertainty of the decrement %g, alone %g", both.Parameters[0].U, alone.Parameters[0].U)
		}
	}
	if tried < 5 {
		t.Errorf("only %d fits came to lie at zero", tried)
	}
}

func TestFitRefuses(t *testing.T) {
	rng := rand.New(rand.NewPCG(34, 1))
	for _, c := range []struct {
		name, want string
		kind       error
		n          int
		spoil      func([]Turning)
	}{
		{"two turning points", "2, at least 5 needed", ErrFew, 2, func([]Turning) {}},
		{"constant", "all turning points at", ErrStill, 12, func(r []Turning) {
			for i := range r {
				r[i].Extension.Value = 0.1
			}
		}},
		{"no uncertainty", "uncertainties positive", ErrSamples, 12, func(r []Turning) { r[3].Extension.U = 0 }},
		{"not a number", "must be finite", ErrSamples, 12, func(r []Turning) { r[3].Extension.Value = math.NaN() }},
		{"two records", "same record", ErrSamples, 12, func(r []Turning) { r[5].Record = 1 }},
		{"out of order", "later than the one before", ErrSamples, 12, func(r []Turning) { r[5].Index = 3 }},
	} {
		t.Run(c.name, func(t *testing.T) {
			record := turned(rng, viscous, 0.05, []float64{0.02}, c.n-1, 1e-4)
			c.spoil(record)
			if _, err := FitDecay(viscous, record); !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("FitDecay: %v, want an error saying %q", err, c.want)
			}
			if _, err := Compare(record); !errors.Is(err, c.kind) {
				t.Errorf("Compare: %v, want the same kind", err)
			}
		})
	}
}
