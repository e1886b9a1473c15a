package loss

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"joulewell/energy"
)

// wrong reports whether a verdict says what is not so: it names a part that is not in
// the truth, or bounds one that is there below what it takes.
func wrong(e Evidence, truth Model, parameters []float64, n int) bool {
	if e.Verdict == "" {
		return false
	}
	named := e.named(e.Verdict).Fit.Model
	for _, q := range named.Parameters {
		if !truth.has(q.Part) {
			return true
		}
	}
	shares := truth.lost(0.05, parameters, 0, n)
	whole := 0.05 * 0.05 / 2
	if len(named.Parameters) > 0 {
		whole = 0
		for _, s := range shares {
			whole += s
		}
	}
	for i, q := range truth.Parameters {
		for _, l := range e.Limits {
			if l.Part == q.Part && shares[i]/whole > l.Share {
				return true
			}
		}
	}
	return false
}

// apart is how far apart a law and its nearest rival lie, in standard deviations: the root
// of the least chi-squared with which a law that lacks a part of it fits its own turning
// points. Where both are known exactly their likelihood ratio is normal, and a test that
// names the wrong one in 5 % of cases names the right one in Phi(apart - 1.645): no rule
// for laws whose numbers must be fitted first can do better (Neyman and Pearson; from memory).
func apart(t *testing.T, m Model, parameters []float64, n int, u float64) float64 {
	record := turned(rand.New(rand.NewPCG(40, 1)), m, 0.05, parameters, n, 1e-9)
	for i := range record {
		record[i].Extension.U = u
	}
	nearest := math.Inf(1)
	for _, rival := range models {
		if rival.covers(m) {
			continue
		}
		f, err := FitDecay(rival, record)
		if err != nil {
			t.Fatal(err)
		}
		nearest = min(nearest, math.Sqrt(f.ChiSquared))
	}
	return nearest
}

// How often the verdict is right, and how often surely wrong, beside what is possible.
// Good readings over 20 cycles in which the swing comes down to 0.4 of its amplitude must
// give the right law where that is possible at all; nothing may be surely wrong in more
// than 5 % of cases, however poor the readings and weak the decay. Of two parts, 0.1 mm in
// 50 cannot tell all others in nine cases of ten: it takes 0.05 mm, or a swing that decays
// farther.
func TestVerdictIsRightOrHoldsItsTongue(t *testing.T) {
	trials := 40
	if n, err := strconv.Atoi(os.Getenv("JOULEWELL_BENCHES")); err == nil && n > 0 {
		trials = n
	} else if testing.Short() {
		trials = 6
	}
	const n = 40
	share := func(n int) float64 { return float64(n) / float64(trials) }
	for _, m := range models {
		for _, c := range []struct{ left, u float64 }{
			{0.4, 0.1e-3}, {0.4, 0.05e-3}, {0.4, 0.3e-3}, {0.4, 1e-3}, {0.2, 0.1e-3}, {0.6, 0.05e-3}, {0.8, 0.1e-3},
		} {
			rng := rand.New(rand.NewPCG(41, 1))
			truth := half(m, c.left, n)
			var right, silent, bad int
			for range trials {
				e, err := Compare(turned(rng, m, 0.05, truth, n, c.u))
				if err != nil {
					t.Fatal(err)
				}
				switch {
				case e.Verdict == m.Name:
					right++
				case e.Verdict == "":
					silent++
				}
				if wrong(e, m, truth, n) {
					bad++
				}
			}
			possible := math.Erfc((1.645-apart(t, m, truth, n, c.u))/math.Sqrt2) / 2
			t.Logf("%-19s down to %.1f, u = %.2f mm: right %5.1f %% of %5.1f possible, cannot tell %5.1f %%, surely wrong %.1f %%",
				m.Name, c.left, 1e3*c.u, 100*share(right), 100*possible, 100*share(silent), 100*share(bad))
			slack := 3 * math.Sqrt(0.25/float64(trials))
			if want := min(0.9, possible-0.1); c.left == 0.4 && c.u <= 0.1e-3 && share(right) < want-slack {
				t.Errorf("%s, u = %.2f mm: right in %.3f of cases, want %.3f", m.Name, 1e3*c.u, share(right), want)
			}
			if slack := 2 * math.Sqrt(0.05*0.95/float64(trials)); share(bad) > 0.05+slack {
				t.Errorf("%s down to %.1f, u = %.2f mm: surely wrong in %.3f of cases, want at most one in twenty", m.Name, c.left, 1e3*c.u, share(bad))
			}
		}
	}
}

func TestEvidenceAddsUp(t *testing.T) {
	rng := rand.New(rand.NewPCG(42, 1))
	e, err := Compare(turned(rng, viscous, 0.05, half(viscous, 0.4, 40), 40, 1e-4))
	if err != nil {
		t.Fatal(err)
	}
	if len(e.Candidates) != len(models) || len(e.Untried) != 0 {
		t.Fatalf("%d candidates, %v untried", len(e.Candidates), e.Untried)
	}
	var sum float64
	for i, c := range e.Candidates {
		sum += c.Weight
		if i > 0 && c.Delta < e.Candidates[i-1].Delta {
			t.Error("candidates are not sorted")
		}
		k := float64(3 + len(c.Fit.Parameters))
		near(t, "AICc", c.Fit.AICc, c.Fit.ChiSquared/(e.Scatter*e.Scatter)+2*k+2*k*(k+1)/(41-k-1), 1e-9)
	}
	near(t, "sum of weights", sum, 1, 1e-12)
	near(t, "best delta", e.Candidates[0].Delta, 0, 0)
	if e.Verdict != "viscous" || !strings.Contains(e.Sentence, "in the spring or in the air") {
		t.Errorf("verdict %q: %s", e.Verdict, e.Sentence)
	}
	short, err := Compare(turned(rng, viscous, 0.05, []float64{0.1}, 5, 1e-4))
	if err != nil {
		t.Fatal(err)
	}
	if short.Verdict != "" || !strings.HasPrefix(short.Sentence, "cannot tell: ") {
		t.Errorf("six turning points: verdict %q: %s", short.Verdict, short.Sentence)
	}
}

// Turning points that scatter five times as much as they say: the evidence must notice
// and not be misled.
func TestScatterBeyondTheUncertaintiesIsNoticed(t *testing.T) {
	rng := rand.New(rand.NewPCG(43, 1))
	var bad int
	var works hits
	const trials = 50
	truth := half(sliding, 0.8, 40)
	for range trials {
		record := turned(rng, sliding, 0.05, truth, 40, 5e-4)
		for i := range record {
			record[i].Extension.U = 1e-4
		}
		e, err := Compare(record)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "scatter", e.Scatter, 5, 2)
		if wrong(e, sliding, truth, 40) {
			bad++
		}
		w := e.named(sliding.Name).Fit.Work(energy.Estimate{Value: 20}, 0, 40)[0].Work
		works.add(w, 20*sliding.lost(0.05, truth, 0, 40)[0])
		if w.U > 3e-4 {
			t.Errorf("u of the work = %g J, five times too wide at least", w.U)
		}
	}
	if bad > trials/10 {
		t.Errorf("surely wrong in %d of %d cases", bad, trials)
	}
	works.check(t, "work")
}

func TestNoDecayIsSaid(t *testing.T) {
	rng := rand.New(rand.NewPCG(44, 1))
	e, err := Compare(turned(rng, none, 0.05, nil, 20, 1e-4))
	if err != nil {
		t.Fatal(err)
	}
	if e.Verdict != none.Name || !strings.HasPrefix(e.Sentence, "no decay seen: over the record the swing loses at most 0.") {
		t.Errorf("verdict %q: %s", e.Verdict, e.Sentence)
	}
}
