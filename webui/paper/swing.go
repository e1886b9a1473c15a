package paper

import (
	"fmt"
	"html/template"
	"slices"
	"strings"

	"joulewell/daq/analysis"
	"joulewell/daq/analysis/figure"
	"joulewell/daq/analysis/report"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// swing is a swing as the page shows it.
type swing struct {
	Title    string
	Facts    []string
	Figures  map[string]template.HTML // by kind
	Ledger   table
	Air      string
	Drawn    string
	Budget   table
	Advice   string
	Decay    table
	Decays   string
	Turns    table
	NoTurns  int // turning points not in Turns
	Loop     string
	Cycles   table
	NoCycles int // rows not in Cycles
	Notes    []string
	Headline string
	Words    []string
}

// swingOf makes a swing ready for the page. The id goes before those of its figures;
// without one it has none.
func swingOf(s *analysis.Swing, title, id string) (*swing, error) {
	v := &swing{
		Title: title, Figures: map[string]template.HTML{}, Headline: s.Whole.Sentence, Words: explain(s),
		Facts: facts(s), Ledger: ledger(s.Whole), Budget: budget(s.Whole), Advice: s.Whole.Advice(), Turns: turns(s), Cycles: perCycle(s),
		Notes: append(slices.Clone(s.Notes), s.Whole.Notes...),
	}
	v.Notes = slices.DeleteFunc(v.Notes, func(n string) bool { return strings.HasPrefix(n, "decay: ") }) // said among the words
	v.NoTurns, v.NoCycles = v.Turns.cut(), v.Cycles.cut()
	if a := s.Whole.Air; a != nil {
		v.Air = fmt.Sprintf("Air drag by the bob's size takes between %s and %s.", quantity.Energy.Text(a.Low, a.Low), quantity.Energy.Text(a.High, a.High))
	}
	if d := s.Drawn; d != nil {
		v.Drawn = fmt.Sprintf("By Monte Carlo, %d draws: lost %s on the mean, 95 %% of them between %s and %s.", d.Trials,
			quantity.Energy.Text(d.Mean, d.U), quantity.Energy.Text(d.Low, d.U), quantity.Energy.Text(d.High, d.U))
	}
	if e := s.Evidence; e != nil {
		v.Decay, v.Decays = laws(e), e.Sentence
	}
	if l := s.Loops; l != nil && l.TooSlow == "" {
		v.Loop = fmt.Sprintf("%s a cycle stay in the spring, on the mean of %d cycles.", joules(l.PerCycle), len(l.Loops))
	}
	if id == "" {
		return v, nil
	}
	drawn, err := figure.Draw(s)
	if err != nil {
		return nil, err
	}
	for i := range drawn {
		d := &drawn[i]
		v.Figures[d.Kind] = template.HTML(d.Inline(id + "-" + d.Kind))
	}
	return v, nil
}

// facts are what is known of a swing beside its ledger.
func facts(s *analysis.Swing) []string {
	list := []string{"No release was seen: the books begin at the first turning point."}
	if s.Record[0].Release {
		list[0] = fmt.Sprintf("Let go just before %.2f s, after it was held from %.2f s to %.2f s.", s.Record[0].T.Value, s.HeldFrom, s.HeldTo)
	}
	if s.Period != nil {
		list = append(list, "Period "+measured(quantity.Time, *s.Period)+".")
	}
	if s.Decrease != nil {
		list = append(list, "The amplitude falls by "+report.Shown(s.Decrease, 100)+" % a cycle, on the mean.")
	}
	if p := s.Push; p != nil && p.Pushed {
		list = append(list, "It was pushed: at the release it moved upward at "+measured(quantity.Speed, p.Speed)+".")
	}
	return append(list, fmt.Sprintf("From the kinetic energies %s of noise was taken off on the mean; %.2g %% of the velocity, at most %s, was put back.",
		quantity.Energy.Text(s.Kinetic.NoiseBias, s.Kinetic.NoiseBias), 100*s.Kinetic.Flattening, quantity.Energy.Text(s.Kinetic.MostPut, s.Kinetic.MostPut)))
}

func ledger(l *loss.Ledger) table {
	t := table{
		Caption: fmt.Sprintf("Ledger from %.2f s to %.2f s; ± is the expanded uncertainty, k = 2", l.From, l.To),
		Head:    []column{{"account", false}, {"energy", true}, {"found by", false}},
		Rows:    [][]string{{"gone from the swing", joules(energy.Estimate{Value: -l.Change.Value, U: l.Change.U}), "place of the turning points"}},
	}
	for _, a := range l.Accounts {
		t.Rows = append(t.Rows, []string{"less: " + a.Name, joules(a.Work), a.From})
	}
	return t.with("in no account", joules(l.Residual), "what is left over").with("lost", joules(l.Lost), "gone, less what waves in the coils may hide")
}

func (t table) with(row ...string) table {
	t.Rows = append(t.Rows, row)
	return t
}

// budget says where the uncertainty of the loss comes from.
func budget(l *loss.Ledger) table {
	t := table{
		Caption: "Where the uncertainty of the loss, ± " + quantity.Energy.Text(loss.Coverage*l.Lost.U, loss.Coverage*l.Lost.U) + ", comes from",
		Head:    []column{{"input", false}, {"gives by itself, k = 2", true}, {"share of the variance", true}},
	}
	const least = 0.001 // of the variance
	for i, c := range l.Budget {
		if c.U*c.U < least*l.Lost.U*l.Lost.U {
			return t.with(fmt.Sprintf("%d more", len(l.Budget)-i), "", "less than 0.1 % each")
		}
		t.Rows = append(t.Rows, []string{c.Input, "± " + quantity.Energy.Text(loss.Coverage*c.U, loss.Coverage*c.U),
			fmt.Sprintf("%.1f %%", 100*c.U*c.U/(l.Lost.U*l.Lost.U))})
	}
	return t
}

func laws(e *loss.Evidence) table {
	t := table{
		Caption: "Evidence for each law of decay",
		Head:    []column{{"friction", false}, {"AICc above the best", true}, {"share of the evidence", true}, {"chi-squared", true}, {"degrees of freedom", true}},
	}
	for _, c := range e.Candidates {
		t.Rows = append(t.Rows, []string{c.Fit.Model.Name, fmt.Sprintf("%.1f", c.Delta), fmt.Sprintf("%.0f %%", 100*c.Weight),
			fmt.Sprintf("%.0f", c.Fit.ChiSquared), fmt.Sprint(c.Fit.Freedom)})
	}
	return t
}

// turns is the table of the turning points.
func turns(s *analysis.Swing) table {
	t := table{
		Caption: "Turning points, where the bob stands and has no kinetic energy; ± is the expanded uncertainty, k = 2",
		Head:    []column{{"no.", true}, {"at / s", true}, {"extension / mm", true}, {"elastic / mJ", true}, {"gravitational / mJ", true}, {"total / mJ", true}},
	}
	for i := range s.Turns {
		p := &s.Turns[i]
		t.Rows = append(t.Rows, []string{fmt.Sprint(p.Index), fmt.Sprintf("%.3f", p.T.Value), report.Shown(&p.Extension, milli),
			report.Shown(&p.Energies.Elastic, milli), report.Shown(&p.Energies.Gravitational, milli), report.Shown(&p.Energies.Total, milli)})
	}
	return t
}

// perCycle is the ledger row by row.
func perCycle(s *analysis.Swing) table {
	head := "cycle"
	if s.CyclesPerRow > 1 {
		head = fmt.Sprintf("%d cycles", s.CyclesPerRow)
	}
	t := table{
		Caption: "Ledger by cycle; ± is the expanded uncertainty, k = 2",
		Head:    []column{{head, true}, {"from / s", true}, {"energy of the swing / mJ", true}, {"lost / mJ", true}, {"in no account / mJ", true}},
	}
	for i := range s.Rows {
		l := &s.Rows[i]
		t.Rows = append(t.Rows, []string{fmt.Sprint(i + 1), fmt.Sprintf("%.2f", l.From), report.Shown(&l.Swing, milli), report.Shown(&l.Lost, milli), report.Shown(&l.Residual, milli)})
	}
	return t
}
