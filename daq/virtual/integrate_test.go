package virtual

import (
	"fmt"
	"math"
	"testing"
)

// A splitting of fourth order: halving the step divides the deviation by sixteen.
// The exact solution of the massless spring is a cosine.
func TestOrder(t *testing.T) {
	cfg := plain(0)
	k := newChain(&cfg)
	omega := math.Sqrt(cfg.Spring.Rate / cfg.Bob.Mass)
	middle, _ := k.stretch(cfg.Bob.Mass * cfg.Gravity)
	off := func(steps int) float64 {
		s := newState(1)
		d := newDamper(k)
		const span = 1.0
		for range steps {
			k.step(s, d, span/float64(steps))
		}
		return math.Abs(s.u[0] - middle*(1-math.Cos(omega*span)))
	}
	for _, n := range []int{24, 48, 96} {
		if ratio := off(n) / off(2*n); ratio < 14 || ratio > 18 {
			t.Errorf("deviation falls by %.2f from %d to %d steps, want about 16", ratio, n, 2*n)
		}
	}
}

// Up to 5/omega a step is stable, beyond it is not.
func TestStability(t *testing.T) {
	cfg := plain(0)
	k := newChain(&cfg)
	omega := math.Sqrt(cfg.Spring.Rate / cfg.Bob.Mass)
	for turn, stable := range map[float64]bool{turnTouching: true, turnApart: true, 4.9: true, 5.1: false} {
		s, d := newState(1), newDamper(k)
		for range 1000 {
			k.step(s, d, turn/omega)
		}
		if calm := math.Abs(s.u[0]) < 10; calm != stable {
			t.Errorf("steps of %g/omega: after 1000 the bob is at %g m", turn, s.u[0])
		}
	}
}

// Without losses the energy does not drift.
func TestEnergyKept(t *testing.T) {
	periods := 1000
	if quick() {
		periods = 50
	}
	for _, ratio := range []float64{0, 0.04, 0.4} {
		t.Run(fmt.Sprintf("ratio=%g", ratio), func(t *testing.T) {
			r := rigOf(t, plain(ratio))
			T := 2 * math.Pi / r.chain.slowest()
			scale := 2 * r.chain.bob * r.chain.gravity * r.chain.bob * r.chain.gravity / (r.chain.law.rate / float64(r.chain.coils))
			worst := 0.0
			for i := range 7 * periods {
				at := int64(float64(i) * T / 7.3 * 1e9)
				s := r.At(at)
				worst = max(worst, math.Abs(s.Unexplained())/scale)
			}
			if worst > 1e-8 {
				t.Errorf("energy is off by %.2g of what is exchanged", worst)
			}
			t.Logf("worst %.2g of the energy exchanged, over %d periods", worst, periods)
		})
	}
}

// Everything that can take or give energy at once: the books must close all the same.
func TestBooksClose(t *testing.T) {
	seconds := 65
	if quick() {
		seconds = 12
	}
	losses := Losses{Viscous: 0.006, Quadratic: 0.008, Sliding: 0.002, Internal: 0.003, Restitution: 0.5}
	for _, c := range []struct {
		name    string
		ratio   float64
		tension float64
		losses  Losses
		support float64
		tol     float64 // [1] of 2(Mg)^2/k, the energy exchanged in a drop
	}{
		{"massless", 0, 0, losses, 2, 1e-9},
		{"light", 0.04, 0, losses, 2, 1e-9},
		{"heavy", 0.5, 0, losses, 2, 1e-9},
		{"viscous only", 0.2, 0, Losses{Viscous: 0.02}, 2, 1e-9},
		{"quadratic only", 0.2, 0, Losses{Quadratic: 0.1}, 2, 1e-9},
		{"sliding only", 0.2, 0, Losses{Sliding: 0.05}, 2, 1e-9},
		{"internal only", 0.2, 0, Losses{Internal: 0.02}, 2, 1e-9},
		// An impact cuts a step in two, which the stiffest modes notice.
		{"floor", 0.04, 0, losses, 0.35, 1e-7},
		{"floor without rebound", 0.04, 0, Losses{}, 0.35, 1e-7},
		// Coils that close have a kink in their law, which costs the integration its
		// order.
		{"closing coils", 0.04, 0.3, losses, 2, 1e-5},
		{"closing coils and floor", 0.2, 0.6, losses, 0.32, 1e-4},
	} {
		t.Run(c.name, func(t *testing.T) {
			cfg := plain(c.ratio)
			cfg.Spring.InitialTension, cfg.Losses, cfg.Support = c.tension, c.losses, c.support
			cfg.Hand = Hand{Hold: 0.5, Period: 10, Carry: 1, Push: 0.2}
			if quick() {
				cfg.Spring.Coils = 10
			}
			r := rigOf(t, cfg)
			mg := cfg.Bob.Mass * cfg.Gravity
			worst, last := 0.0, Truth{}
			for at := int64(0); at < int64(seconds)*1e9; at += 7_300_007 {
				last = r.At(at)
				worst = max(worst, math.Abs(last.Unexplained())/(2*mg*mg/cfg.Spring.Rate))
				if l := last.Lost; l.Viscous < 0 || l.Quadratic < 0 || l.Sliding < 0 || l.Internal < 0 || l.Floor < 0 {
					t.Fatalf("a loss is negative: %+v", l)
				}
			}
			if !(worst <= c.tol) {
				t.Errorf("books are open by %.2g of the energy exchanged, want at most %g", worst, c.tol)
			}
			for _, a := range []struct {
				name      string
				have      float64
				should    bool
				something float64
			}{
				{"viscous", last.Lost.Viscous, c.losses.Viscous > 0, 0.001},
				{"quadratic", last.Lost.Quadratic, c.losses.Quadratic > 0, 0.001},
				{"sliding", last.Lost.Sliding, c.losses.Sliding > 0, 0.001},
				{"internal", last.Lost.Internal, c.losses.Internal > 0, 0.001},
				{"floor", last.Lost.Floor, c.support < 1, 0.001},
			} {
				if a.should != (a.have > a.something) {
					t.Errorf("lost to %s: %g J", a.name, a.have)
				}
			}
			if last.Work <= 0 {
				t.Errorf("the hand did %g J of work over several cycles", last.Work)
			}
			t.Logf("open by %.2g, lost %.3g J, work %.3g J", worst, last.Lost.Sum(), last.Work)
		})
	}
}

// Looking does not disturb: a rig that is watched closely moves as one that is not.
func TestLookingDoesNotDisturb(t *testing.T) {
	cfg := Default()
	cfg.Hand.Period = 7.6 // with a catch in it
	if quick() {
		cfg.Spring.Coils = 8
	}
	watched, alone := rigOf(t, cfg), rigOf(t, cfg)
	const end = 8_700_000_123
	for at := int64(0); at < end; at += 3_777_777 {
		watched.At(at)
		watched.At(at + 9_000_000)
	}
	if a, b := watched.At(end), alone.At(end); a != b {
		t.Errorf("watched:\n%+v\nalone:\n%+v", a, b)
	}
}

func TestStepAllocatesNothing(t *testing.T) {
	cfg := Default()
	cfg.Support = 0.35 // with impacts
	r := rigOf(t, cfg)
	at := int64(0)
	if n := testing.AllocsPerRun(2000, func() {
		at += 5_000_000
		r.At(at + 123)
	}); n != 0 {
		t.Errorf("%g allocations a call", n)
	}
}
