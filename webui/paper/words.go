package paper

import (
	"fmt"
	"math"

	"joulewell/daq/analysis"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// explain says in sentences what the ledger of a swing says in lines.
func explain(s *analysis.Swing) []string {
	text := []string{went(s)}
	if l := s.Whole; stands(l.Lost) && l.Lost.Value > 0 {
		text = append(text, whereTo(l)...)
	}
	if s.Evidence != nil {
		text = append(text, "How the swing decays: "+s.Evidence.Sentence+".")
	}
	return text
}

// whereTo says of a loss which accounts it went to, as far as that can be told.
func whereTo(l *loss.Ledger) (text []string) {
	for _, a := range l.Accounts {
		if stands(a.Work) {
			text = append(text, fmt.Sprintf("Of this, %s went to the account \"%s\", found by: %s.", joules(a.Work), a.Name, a.From))
		}
	}
	switch told := len(text) > 0; {
	case stands(l.Residual) && told:
		return append(text, fmt.Sprintf("In no account are %s: the readings show that they went, and not where to.", joules(l.Residual)))
	case told:
		return append(text, fmt.Sprintf("What is in no account, %s, is nothing within its uncertainty: the accounts explain the loss.", joules(l.Residual)))
	}
	return []string{"No account stands out of its uncertainty: the readings show that energy went, and not where to."}
}

// went says how much went over how many cycles.
func went(s *analysis.Swing) string {
	l := s.Whole
	text := fmt.Sprintf("At %.2f s the swing held %s above the bob at rest; ", l.From, joules(l.Swing))
	after := "at the end of the ledger"
	if n := cycles(s); n > 0 {
		after = fmt.Sprintf("%g cycles later", n)
	}
	switch {
	case !stands(l.Lost):
		return text + after + " no loss can be told from the uncertainty of the readings."
	case l.Lost.Value < 0:
		return text + after + " there was more: nothing on the bench gives energy, so a reading, the spring's rate or a push must be at fault."
	case l.Swing.Value > 0:
		return text + fmt.Sprintf("%s %s of it had gone, %s.", after, joules(l.Lost), percent(l.Lost.Value/l.Swing.Value))
	}
	return text + fmt.Sprintf("%s %s had gone.", after, joules(l.Lost))
}

// percent writes a share to two figures or more.
func percent(share float64) string {
	return quantity.Round(100*share, max(0, quantity.Decimals(100*share))) + " %"
}

// cycles is how many the ledger of a swing spans; 0 where its end is not a turning point.
func cycles(s *analysis.Swing) float64 {
	for i := range s.Turns {
		if s.Turns[i].T.Value == s.Whole.To {
			return float64(s.Turns[i].Index-s.Turns[0].Index) / 2
		}
	}
	return 0
}

// stands reports whether an energy stands out of its expanded uncertainty.
func stands(e energy.Estimate) bool { return math.Abs(e.Value) > loss.Coverage*e.U }
