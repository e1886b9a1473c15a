package loss

import (
	"strings"
	"testing"

	"joulewell/energy"
)

func TestAdviceKnowsEveryInput(t *testing.T) {
	for _, name := range append(sharedNames[:], scatterName) {
		if betters[name] == "" {
			t.Errorf("nothing is said about %s", name)
		}
	}
}

// With halves by hand: of variances 9 and 16, halving the root of 16 leaves 9 + 4.
func TestAdviceSaysWhatHalvingBrings(t *testing.T) {
	l := Ledger{Lost: energy.Estimate{Value: 0.06, U: 5e-3}, Budget: []Contribution{{Input: "spring rate", U: 4e-3}, {Input: scatterName, U: 3e-3}}}
	if got, want := l.Advice(), "measure the spring's rate better: were the part of spring rate half as large, ± 10 mJ would become ± 7.2 mJ"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := (&Ledger{}).Advice(); got != "" {
		t.Errorf("without a budget: %q", got)
	}
	l.Budget = l.Budget[1:]
	if !strings.HasPrefix(l.Advice(), "let it swing longer") {
		t.Errorf("%q", l.Advice())
	}
}
