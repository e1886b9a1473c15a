package analysis

import (
	"math"
	"testing"

	"joulewell/daq/virtual"
)

// tally counts how often an interval held the truth, and how wide it was.
type tally struct {
	n, inside int
	square    float64 // of deviations over their stated uncertainty
}

func (a *tally) add(value, u, truth float64) {
	a.n++
	if math.Abs(value-truth) <= 1.96*u {
		a.inside++
	}
	a.square += (value - truth) * (value - truth) / (u * u)
}

func (a *tally) share() float64 { return float64(a.inside) / float64(a.n) }
func (a *tally) rms() float64   { return math.Sqrt(a.square / float64(a.n)) }

// constant is what the model leaves out of elastic and gravitational energy of an open
// spring: w^2/(24 k) - w^2/(12 k), see the model's own comments.
func constant(c *virtual.Config) float64 {
	w := c.Spring.Mass * c.Gravity
	return -w * w / (24 * c.Spring.Rate)
}

// Benches that people know only as well as they say, each wrong in its own way by a draw
// from what they state, with echoes lost and false ones among the others. The truth is the
// simulation's. Its air is dry as far as sound is concerned, so that heights, and energies
// where they depend on the height alone, scatter less than stated.
func TestIntervalsHoldTheTruth(t *testing.T) {
	runs := repeats(100)
	var energies [4]tally // by number of the turning point
	var places, first, whole tally
	for seed := range uint64(runs) {
		c := known(1000 + seed)
		r, b, rig := record(t, c, 9)
		run, err := Analyse(r, b, Options{})
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		s := &run.Swings[0]
		if len(run.Swings) != 1 || !s.Record[0].Release || len(s.Rows) < 10 {
			t.Fatalf("seed %d: %d swings, released %t, %d cycles", seed, len(run.Swings), s.Record[0].Release, len(s.Rows))
		}
		for i := range energies {
			p := &s.Turns[i]
			truth := rig.At(nanoseconds(p.T.Value))
			if p.Release { // when it was is known to 50 ms only, where it was to the hold
				truth = rig.At(nanoseconds(s.HeldTo))
			}
			energies[i].add(p.Energies.Total.Value, p.Energies.Total.U, truth.Mechanical()-constant(&c))
			places.add(p.Height.Value, p.Height.U, truth.Height)
		}
		lost := func(from, to float64) float64 {
			a, z := rig.At(nanoseconds(from)), rig.At(nanoseconds(to))
			return z.Lost.Sum() - a.Lost.Sum()
		}
		first.add(s.Rows[0].Lost.Value, s.Rows[0].Lost.U, lost(s.Rows[0].From, s.Rows[0].To))
		whole.add(s.Whole.Lost.Value, s.Whole.Lost.U, lost(s.Whole.From, s.Whole.To))
	}
	check := func(what string, a *tally) {
		t.Logf("%-24s %.3f of %d inside 95 %% intervals, rms deviation %.2f u", what, a.share(), runs, a.rms())
		// Three standard deviations of a binomial share, and of a root mean square.
		spread := 3 / math.Sqrt(float64(runs))
		if low := 0.95 - spread*math.Sqrt(0.95*0.05); a.share() < low {
			t.Errorf("%s: %.3f inside 95 %% intervals, at least %.3f wanted", what, a.share(), low)
		}
		if a.rms() > 1+spread/math.Sqrt2 || a.rms() < 0.5 {
			t.Errorf("%s: deviations of %.2f stated uncertainties", what, a.rms())
		}
	}
	for i := range energies {
		check([...]string{"energy at the release", "energy at turn 1", "energy at turn 2", "energy at turn 3"}[i], &energies[i])
	}
	check("height at the turns", &places)
	check("loss of the first cycle", &first)
	check("loss of all cycles", &whole)
}

// One way of losing energy at a time: the books must name it. The force's delay is known
// to 20 us here, for else no loop could tell, and the spring too light for waves, which in
// so quiet readings pass for a second law of decay.
func TestLossIsNamed(t *testing.T) {
	for _, c := range []struct {
		name    string
		losses  virtual.Losses
		law     string
		account string
		spring  bool
	}{
		{"viscous drag", virtual.Losses{Viscous: 0.02}, "viscous", "viscous friction, not in the spring", false},
		{"sliding friction", virtual.Losses{Sliding: 0.012}, "sliding", "sliding friction", false},
		{"quadratic drag", virtual.Losses{Quadratic: 0.06}, "quadratic", "quadratic friction, air", false},
		{"in the spring", virtual.Losses{Internal: 0.02}, "viscous", "inside the spring", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			bench := virtual.Quiet(250)
			bench.Seed, bench.Losses, bench.Hand.Period, bench.Known.Delay = 5, c.losses, 0, 2e-5
			bench.Ranger.Noise, bench.Spring.Mass = 1e-4, 2e-5
			r, b, rig := record(t, bench, 16)
			run, err := Analyse(r, b, Options{})
			if err != nil {
				t.Fatal(err)
			}
			s := &run.Swings[0]
			if s.Evidence.Verdict != c.law {
				t.Errorf("verdict %q, want %q: %s", s.Evidence.Verdict, c.law, s.Evidence.Sentence)
			}
			a, z := rig.At(nanoseconds(s.Whole.From)), rig.At(nanoseconds(s.Whole.To))
			lost := z.Lost.Sum() - a.Lost.Sum()
			for _, account := range s.Whole.Accounts {
				want := 0.0
				if account.Name == c.account {
					want = lost
				}
				t.Logf("%-36s %7.2f mJ, u %.2f, of %.2f", account.Name, 1e3*account.Work.Value, 1e3*account.Work.U, 1e3*lost)
				if math.Abs(account.Work.Value-want) > 3*account.Work.U {
					t.Errorf("%s = %.3g J, u %.2g, want %.3g", account.Name, account.Work.Value, account.Work.U, want)
				}
				if account.Name == c.account && account.Work.Value < 3*account.Work.U {
					t.Errorf("%s = %.3g J is not beyond its uncertainty %.2g", account.Name, account.Work.Value, account.Work.U)
				}
			}
			if math.Abs(s.Whole.Residual.Value) > 3*s.Whole.Residual.U {
				t.Errorf("the books do not close: %+v", s.Whole.Residual)
			}
		})
	}
}
