package loss

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/energy"
)

// ranked returns evidence of a viscous swing whose criteria are set by hand: the
// models named lie so far above the lowest, all others far out.
func ranked(t *testing.T, u float64, delta map[string]float64) Evidence {
	t.Helper()
	e, err := Compare(turned(rand.New(rand.NewPCG(45, 1)), viscous, 0.05, half(viscous, 0.4, 40), 40, u))
	if err != nil {
		t.Fatal(err)
	}
	for i := range e.Candidates {
		c := &e.Candidates[i]
		d, named := delta[c.Fit.Model.Name]
		if !named {
			d = 50
		}
		c.Delta = d
		c.Fit.ChiSquared = (100 + d - 2*float64(len(c.Fit.Parameters))) * e.Scatter * e.Scatter
	}
	e.Verdict, e.Sentence, e.Limits = "", "", nil
	e.judge()
	return e
}

func TestRuleOfTheVerdict(t *testing.T) {
	for _, c := range []struct {
		name    string
		u       float64
		delta   map[string]float64
		verdict string
		words   string
	}{
		{"alone", 1e-4, map[string]float64{"viscous": 0}, "viscous", "in the spring or in the air"},
		{"one more part, no better", 1e-4, map[string]float64{"viscous": 0, "viscous + sliding": 1}, "viscous", ""},
		{"one more part, a little better", 1e-4, map[string]float64{"viscous": 1.9, "viscous + sliding": 0}, "viscous", ""},
		{"one more part, better", 1e-4, map[string]float64{"viscous": 2.1, "viscous + sliding": 0}, "", "viscous, viscous + sliding fit about equally well"},
		{"one more part, much better", 1e-4, map[string]float64{"viscous": 6.1, "viscous + sliding": 0}, "viscous + sliding", ""},
		{"a rival of another kind", 1e-4, map[string]float64{"viscous": 0, "sliding": 2.6}, "", "cannot tell: "},
		{"a rival ruled out", 1e-4, map[string]float64{"viscous": 0, "sliding": 2.8}, "viscous", ""},
		{"a rival ruled out by the price of its parts alone", 1e-4, map[string]float64{"viscous": 0, "quadratic + sliding": 4}, "", "cannot tell: viscous, quadratic + sliding"},
		{"too poor to leave no room", 2e-3, map[string]float64{"viscous": 0}, "", "might take as much as"},
	} {
		e := ranked(t, c.u, c.delta)
		if e.Verdict != c.verdict || !strings.Contains(e.Sentence, c.words) || e.Sentence == "" {
			t.Errorf("%s: verdict %q: %s; want %q and %q", c.name, e.Verdict, e.Sentence, c.verdict, c.words)
		}
		if one := c.verdict == "viscous"; one != (len(e.Limits) == 2) {
			t.Errorf("%s: verdict %q with limits %+v", c.name, e.Verdict, e.Limits)
		}
	}
}

func TestNoVerdictWhileAModelIsUntried(t *testing.T) {
	e := ranked(t, 1e-4, map[string]float64{"viscous": 0})
	e.Verdict, e.Limits, e.Untried = "", nil, []string{quadraticSliding.Name}
	e.judge()
	if e.Verdict != "" || !strings.Contains(e.Sentence, "to try quadratic + sliding") {
		t.Errorf("verdict %q: %s", e.Verdict, e.Sentence)
	}
}

// The rate is a factor of all work: its relative uncertainty adds in squares.
func TestWorkCarriesTheRate(t *testing.T) {
	record := turned(rand.New(rand.NewPCG(46, 1)), viscousSliding, 0.05, half(viscousSliding, 0.4, 40), 40, 1e-4)
	f, err := FitDecay(viscousSliding, record)
	if err != nil {
		t.Fatal(err)
	}
	sure, unsure := f.Work(energy.Estimate{Value: 20}, 0, 2), f.Work(energy.Estimate{Value: 20, U: 3}, 0, 2)
	for i := range sure {
		near(t, "work", unsure[i].Work.Value, sure[i].Work.Value, 0)
		near(t, "uncertainty", unsure[i].Work.U, math.Hypot(sure[i].Work.U, sure[i].Work.Value*3/20), 1e-12)
	}
}
