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

// One way of losing energy at a time: the books must name it. The force's delay is known
// to 20 us here, for else no loop could tell, and the spring too light for waves, which in
// readings as quiet as these leave the law in doubt.
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
