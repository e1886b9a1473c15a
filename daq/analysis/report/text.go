package report

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"text/tabwriter"

	"joulewell/calib/fit"
	"joulewell/daq/analysis"
	"joulewell/daq/setup"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// shown is how many turning points a table holds before its middle is left out.
const shown = 20

// Text writes a run for a person to read.
func Text(w io.Writer, name string, b *setup.Bench, r *analysis.Run) error {
	p := &page{}
	p.head(name, b, r)
	for i := range r.Swings {
		p.swing(i, r)
	}
	p.notes("", r.Notes)
	_, err := io.WriteString(w, p.String())
	return err
}

// page is the text in the making.
type page struct{ strings.Builder }

func (p *page) line(format string, values ...any) { fmt.Fprintf(p, format+"\n", values...) }

// table writes rows of numbers in columns, the first row as their heads.
func (p *page) table(rows [][]string) {
	t := tabwriter.NewWriter(p, 0, 0, 2, ' ', tabwriter.AlignRight)
	for _, row := range rows {
		fmt.Fprintf(t, "  %s\t\n", strings.Join(row, "\t"))
	}
	t.Flush()
}

// list writes rows of words in columns.
func (p *page) list(rows [][]string) {
	t := tabwriter.NewWriter(p, 0, 0, 3, ' ', 0)
	for _, row := range rows {
		fmt.Fprintf(t, "    %s\n", strings.Join(row, "\t"))
	}
	t.Flush()
}

// notes writes notes wrapped to the page.
func (p *page) notes(indent string, notes []string) {
	for _, n := range notes {
		line := indent + "note:"
		for _, word := range strings.Fields(n) {
			if len(line)+len(word) > 95 {
				p.line("%s", line)
				line = indent + "     "
			}
			line += " " + word
		}
		p.line("%s", line)
	}
}

func (p *page) head(name string, b *setup.Bench, r *analysis.Run) {
	p.line("%s: bench %s, %s on %s", name, b.Name, cmp.Or(b.BobLabel, "-"), cmp.Or(b.SpringLabel, "-"))
	c := &r.Counts
	p.line("  %d rows over %.1f s: %d distances, %d forces; %d without an echo, %d out of range",
		c.Rows, r.Length, c.Distances, c.Forces, c.NoEcho, c.OutOfRange)
	p.line("  one distance scatters by %.2g mm; motion fitted in windows of %.0f ms, chosen from the readings", 1e3*r.Noise, 2e3*r.HalfWidth)
	if d := r.Delay; d != nil {
		p.line("  force after distance: %s calibrated and taken out; Newton's second law finds %s more,",
			milliseconds(d.Calibrated), milliseconds(d.Lag))
		p.line("  of which friction can feign %.2g ms", 1e3*d.Friction)
	}
	from := "from the floor"
	if r.Reference != 0 {
		from = fmt.Sprintf("from %.1f mm above the floor", 1e3*r.Reference)
	}
	p.line("  gravitational energy counts %s; ± is the expanded uncertainty, k = 2", from)
}

func (p *page) swing(i int, r *analysis.Run) {
	s := &r.Swings[i]
	p.line("")
	p.line("Swing %d of %d, %.2f s to %.2f s", i+1, len(r.Swings), s.Whole.From, s.To)
	if s.Record[0].Release {
		p.line("  let go just before %.2f s; held from %.2f s to %.2f s, which says where", s.Record[0].T.Value, s.HeldFrom, s.HeldTo)
	} else {
		p.line("  no release seen: the books begin at the first turning point")
	}
	if s.Period != nil {
		p.line("  period %s", plusMinus(*s.Period, 1, "s"))
	}
	if s.Decrease != nil {
		p.line("  amplitude falls by %s a cycle, on the mean", plusMinus(*s.Decrease, 100, "%"))
	}
	p.line("  kinetic energy: %s of noise taken off on average; %.2g %% of the velocity, at most %s, put back",
		joules(s.Kinetic.NoiseBias), 100*s.Kinetic.Flattening, joules(s.Kinetic.MostPut))
	p.turns(s)
	p.decay(s.Evidence)
	p.loops(s.Loops)
	p.rows(s)
	p.ledger(s.Whole)
	p.drawn("the first of these cycles", s.FirstDrawn)
	p.drawn("the whole", s.Drawn)
	p.notes("  ", s.Notes)
	p.notes("  ", slices.DeleteFunc(slices.Clone(s.Whole.Notes), func(n string) bool { return strings.HasPrefix(n, "decay: ") })) // said above
	p.line("  => %s", s.Whole.Sentence)
}

func (p *page) turns(s *analysis.Swing) {
	p.line("  Turning points (the bob stands: no kinetic energy)")
	rows := [][]string{{"no.", "at / s", "extension / mm", "elastic / mJ", "gravitational / mJ", "total / mJ"}}
	for i := range s.Turns {
		t := &s.Turns[i]
		if len(s.Turns) > shown && i >= shown-4 && i < len(s.Turns)-4 {
			if i == shown-4 {
				rows = append(rows, []string{"...", "", "", "", "", ""})
			}
			continue
		}
		rows = append(rows, []string{
			fmt.Sprint(t.Index), fmt.Sprintf("%.3f", t.T.Value), plusMinus(t.Extension, 1e3, ""),
			plusMinus(t.Energies.Elastic, 1e3, ""), plusMinus(t.Energies.Gravitational, 1e3, ""), plusMinus(t.Energies.Total, 1e3, ""),
		})
	}
	p.table(rows)
}

func (p *page) decay(e *loss.Evidence) {
	if e == nil {
		return
	}
	p.line("  How the swing decays: evidence for each law (AICc above the best, share of the evidence)")
	rows := [][]string{{"friction", "above", "share", "chi2 / freedom"}}
	for _, c := range e.Candidates {
		rows = append(rows, []string{c.Fit.Model.Name, fmt.Sprintf("%.1f", c.Delta), fmt.Sprintf("%.0f %%", 100*c.Weight),
			fmt.Sprintf("%.0f / %d", c.Fit.ChiSquared, c.Fit.Freedom)})
	}
	p.list(rows)
	p.line("  %s", e.Sentence)
}

func (p *page) loops(l *loss.LoopSet) {
	if l == nil || l.TooSlow != "" {
		return
	}
	p.line("  Loop of force over extension: %s a cycle stay in the spring (mean of %d cycles)", both(l.PerCycle), len(l.Loops))
	if l.Lag > 0 {
		p.line("  (through the coils the support feels the bob up to %.0f ms late, and up to %.2g N other than it pulls)", 1e3*l.Lag, l.Ripple)
	}
}

func (p *page) rows(s *analysis.Swing) {
	if len(s.Rows) == 0 {
		return
	}
	head := "cycle"
	if s.CyclesPerRow > 1 {
		head = fmt.Sprintf("%d cycles", s.CyclesPerRow)
	}
	p.line("  Ledger by cycle")
	rows := [][]string{{head, "from / s", "energy of the swing / mJ", "lost / mJ", "in no account / mJ"}}
	for i := range s.Rows {
		l := &s.Rows[i]
		rows = append(rows, []string{fmt.Sprint(i + 1), fmt.Sprintf("%.2f", l.From), plusMinus(l.Swing, 1e3, ""), plusMinus(l.Lost, 1e3, ""), plusMinus(l.Residual, 1e3, "")})
	}
	p.table(rows)
}

func (p *page) ledger(l *loss.Ledger) {
	p.line("  Ledger from %.2f s to %.2f s", l.From, l.To)
	rows := [][]string{{"  account", "energy", "found by"}}
	rows = append(rows, []string{"  gone from the swing", both(energy.Estimate{Value: -l.Change.Value, U: l.Change.U}), "place of the turning points"})
	for _, a := range l.Accounts {
		rows = append(rows, []string{"- " + a.Name, both(a.Work), a.From})
	}
	rows = append(rows, []string{"= in no account", both(l.Residual), "what is left over"})
	p.list(rows)
	if l.Air != nil {
		p.line("  air drag by the bob's size: between %s and %s", joules(l.Air.Low), joules(l.Air.High))
	}
	var budget []string
	for _, c := range l.Budget[:min(4, len(l.Budget))] {
		budget = append(budget, fmt.Sprintf("%s %s", c.Input, joules(loss.Coverage*c.U)))
	}
	p.line("  its uncertainty comes from: %s", strings.Join(budget, ", "))
}

// drawn puts a loss by Monte Carlo beside the linear one.
func (p *page) drawn(of string, d *fit.Distribution) {
	if d != nil {
		p.line("  Monte Carlo, %d draws: lost over %s %s, 95 %% between %s and %s", d.Trials, of, joules(d.Mean), joules(d.Low), joules(d.High))
	}
}

// Shown writes an estimate, times a factor, with its expanded uncertainty; "-" where it is
// not known.
func Shown(e *energy.Estimate, factor float64) string {
	if e == nil {
		return "-"
	}
	return quantity.PlusMinus(factor*e.Value, factor*loss.Coverage*e.U)
}

// plusMinus adds a unit to that.
func plusMinus(e energy.Estimate, factor float64, unit string) string {
	text := Shown(&e, factor)
	if unit != "" {
		text += " " + unit
	}
	return text
}

func milliseconds(e energy.Estimate) string { return plusMinus(e, 1e3, "ms") }

func both(e energy.Estimate) string { return quantity.Energy.Both(e.Value, loss.Coverage*e.U) }

func joules(v float64) string { return quantity.Energy.Text(v, v) }
