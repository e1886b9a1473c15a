package drift

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/calib/drift/chart"
)

// weekly makes a history of steady scatter, one record a week, to which shift [N] is added
// by the record's index.
func weekly(n int, shift func(i int) float64) History {
	r := rand.New(rand.NewPCG(11, 11))
	h := History{Unit: Newtons}
	for i := range n {
		h.Records = append(h.Records, massRecord(7*float64(i), 5e-4*r.NormFloat64()+shift(i), 1e-4))
	}
	return h
}

func TestVerdicts(t *testing.T) {
	step := func(at int, by float64) func(int) float64 {
		return func(i int) float64 {
			if i >= at {
				return by
			}
			return 0
		}
	}
	for _, test := range []struct {
		name   string
		shift  func(int) float64
		rules  Rules
		state  State
		rule   chart.Rule
		since  int // record, give or take three; -1 = none
		reason []string
	}{
		{"steady", step(99, 0), Rules{Baseline: 20, Needed: 0.005}, InControl, chart.None, -1,
			[]string{"in control: no chart signals", "within the 0.005 N needed"}},
		{"moved a little", step(28, 0.002), Rules{Baseline: 20, Needed: 0.005}, Look, chart.Sum, 28,
			[]string{"look: cumulative sum", "up since 2026-0", "within"}},
		{"moved much", step(28, -0.008), Rules{Baseline: 20, Needed: 0.005}, Recalibrate, chart.Sum, 28,
			[]string{"recalibrate: ", "down since 2026-0", "-0.00", "beyond the 0.005 N needed"}},
		{"off from the start", step(0, 0.02), Rules{Baseline: 20, Needed: 0.005}, Recalibrate, chart.None, -1,
			[]string{"recalibrate: off by +0.0199 N from the baseline on"}},
		{"one odd record", step(39, 0.0021), Rules{Baseline: 20, Needed: 0.005, Plan: chart.Plan{Limit: 3, Weight: 0.2, AverageLimit: 9, Slack: 0.5, Decision: 9}}, Look, chart.Single, 39,
			[]string{"look: one value"}},
		{"baseline by dates", step(28, -0.008), Rules{From: day(7 * 2), To: day(7 * 19), Needed: 0.005}, Recalibrate, chart.Sum, 28, nil},
		{"scatter known otherwise", step(28, 0.002), Rules{Baseline: 2, SD: 0.01, Needed: 0.005}, InControl, chart.None, -1, nil},
	} {
		t.Run(test.name, func(t *testing.T) {
			h := weekly(40, test.shift)
			v, err := Judge(h, test.rules)
			if err != nil {
				t.Fatal(err)
			}
			if v.State != test.state || v.Rule != test.rule {
				t.Errorf("%s by %q, want %s by %q", v.State, v.Rule, test.state, test.rule)
			}
			if !test.rules.From.IsZero() && v.Level.N != 18 {
				t.Errorf("the level is learnt from %d records, want those of 18 weeks", v.Level.N)
			}
			if test.since >= 0 {
				near(t, "weeks since", v.Since.Sub(day(0)).Hours()/168, float64(test.since), 3)
			} else if !v.Since.IsZero() {
				t.Errorf("since %s though nothing signals", v.Since)
			}
			for _, w := range test.reason {
				if !strings.Contains(v.Reason, w) {
					t.Errorf("reason %q, want it to say %q", v.Reason, w)
				}
			}
			t.Log(v.Reason)
		})
	}
}

// The present deviation carries the standard's own uncertainty, which no number of
// records lessens: four records of SD 1 mN against 0.2 mN.
func TestPresentDeviation(t *testing.T) {
	h := weekly(12, func(int) float64 { return 0.003 })
	got := present(h.Records, chart.Level{SD: 0.001})
	near(t, "uncertainty", got.U, math.Hypot(0.0005, 0.0002), 1e-12)
	var want float64
	for _, d := range h.Deviations()[8:] {
		want += d / 4
	}
	near(t, "mean of the last four", got.Value, want, 1e-15)
}

func TestJudgeRefusals(t *testing.T) {
	h := weekly(10, func(int) float64 { return 0 })
	for word, r := range map[string]Rules{
		"needed = 0":                {Baseline: 5},
		"needed = NaN":              {Baseline: 5, Needed: math.NaN()},
		"standard deviation -1":     {Baseline: 5, Needed: 1, SD: -1},
		"10 records in the":         {Baseline: 10, Needed: 1},
		"1 record in the":           {Baseline: 1, Needed: 1},
		"0 records in the baseline": {From: day(500), To: day(400), Needed: 1},
		"weight":                    {Baseline: 5, Needed: 1, Plan: chart.Plan{Limit: 3}},
	} {
		_, err := Judge(h, r)
		refused(t, err, word)
	}
	for i := range h.Records {
		h.Records[i].Indication.Value = 1.963
	}
	_, err := Judge(h, Rules{Baseline: 5, Needed: 1})
	refused(t, err, "alike")
	h.Records[4].Standard = "M-2"
	_, err = Judge(h, Rules{Baseline: 5, Needed: 1})
	refused(t, err, "mixed")
}
