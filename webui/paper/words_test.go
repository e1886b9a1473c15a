package paper

import (
	"strings"
	"testing"

	"joulewell/daq/analysis"
	"joulewell/energy"
	"joulewell/energy/loss"
)

func about(value, u float64) energy.Estimate { return energy.Estimate{Value: value, U: u} }

// The sentences follow the ledger: loss, none to be seen, gain; told, untold, explained.
func TestExplanationFollowsTheLedger(t *testing.T) {
	for name, c := range map[string]struct {
		lost, residual energy.Estimate
		accounts       []loss.Account
		says           []string
		not            string
	}{
		"lost, nobody knows where": {about(0.05, 0.005), about(0.05, 0.005), []loss.Account{{Name: "inside the spring", Work: about(0.001, 0.001)}},
			[]string{"had gone, 50 %", "No account stands out"}, "inside the spring"},
		"lost, in part told": {about(0.05, 0.005), about(0.03, 0.005), []loss.Account{{Name: "inside the spring", Work: about(0.02, 0.002), From: "loops"}},
			[]string{"20.0 mJ ± 4.0 mJ went to the account \"inside the spring\", found by: loops.", "In no account are 30 mJ ± 10 mJ"}, "No account stands"},
		"lost and explained": {about(0.05, 0.005), about(0.001, 0.005), []loss.Account{{Name: "sliding friction", Work: about(0.049, 0.002)}},
			[]string{"sliding friction", "the accounts explain the loss"}, "not where to"},
		"no loss seen": {about(0.004, 0.005), about(0.004, 0.005), nil, []string{"no loss can be told"}, "had gone"},
		"gained":       {about(-0.05, 0.005), about(-0.05, 0.005), nil, []string{"nothing on the bench gives energy"}, "energy went"},
	} {
		s := &analysis.Swing{Whole: &loss.Ledger{From: 1, To: 5, Swing: about(0.1, 0.002), Lost: c.lost, Residual: c.residual, Accounts: c.accounts}}
		text := strings.Join(explain(s), " ")
		for _, want := range c.says {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is not in %q", name, want, text)
			}
		}
		if strings.Contains(text, c.not) {
			t.Errorf("%s: %q is in %q", name, c.not, text)
		}
	}
}
