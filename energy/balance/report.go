package balance

import "joulewell/energy/quantity"

// Fields lists the readings that r holds, the bench's first.
func (r *Readings) Fields() []quantity.Field {
	return append(r.Bench.Fields(),
		quantity.Field{Name: "hung-length", Kind: quantity.Length, To: &r.Hung, Help: "of the spring hanging by itself: a check, need not be given"},
		quantity.Field{Name: "start-height", Kind: quantity.Length, To: &r.Start.Height, Help: "of the bob's lowest point above the floor"},
		quantity.Field{Name: "start-length", Kind: quantity.Length, To: &r.Start.Length, Help: "of the spring"},
		quantity.Field{Name: "start-speed", Kind: quantity.Speed, To: &r.Start.Speed, Zero: true, Help: "of the bob (at rest)"},
		quantity.Field{Name: "end-height", Kind: quantity.Length, To: &r.End.Height, Help: "of the bob's lowest point above the floor"},
		quantity.Field{Name: "end-length", Kind: quantity.Length, To: &r.End.Length, Help: "of the spring"},
		quantity.Field{Name: "end-speed", Kind: quantity.Speed, To: &r.End.Speed, Zero: true, Help: "of the bob (at rest)"},
	)
}

// Report is a comparison for a program.
type Report struct {
	Verdict        string           `json:"verdict"`
	Loss           quantity.Figure  `json:"loss_J"`
	Exchanged      float64          `json:"exchanged_J"` // [J] see [Comparison]
	MonteCarlo     *quantity.Drawn  `json:"monte_carlo,omitempty"`
	Energies       []ReportLine     `json:"energies"`
	Budget         []quantity.Share `json:"budget"`
	Contradictions []string         `json:"contradictions"`
	Advice         string           `json:"advice"`
	Notes          []string         `json:"notes"`
}

// ReportLine is one kind of energy with standard uncertainties.
type ReportLine struct {
	Name    string  `json:"name"`
	Start   float64 `json:"start_J"`    // [J]
	StartU  float64 `json:"start_u_J"`  // [J]
	End     float64 `json:"end_J"`      // [J]
	EndU    float64 `json:"end_u_J"`    // [J]
	Change  float64 `json:"change_J"`   // [J]
	ChangeU float64 `json:"change_u_J"` // [J]
}

// Report returns x for a program.
func (x *Comparison) Report() Report {
	out := Report{
		Verdict: x.Verdict, Exchanged: x.Exchanged, Loss: x.Loss.Figure(), Budget: x.Loss.Shares(quantity.Energy, x.Inputs),
		Contradictions: append([]string{}, x.Contradictions...), Advice: x.Advice, Notes: append([]string{}, x.Notes...),
		MonteCarlo: quantity.DrawnOf(x.Drawn),
	}
	for _, l := range x.Lines {
		out.Energies = append(out.Energies, ReportLine{
			l.Name, l.Start.Value, l.Start.U, l.End.Value, l.End.U, l.Change.Value, l.Change.U,
		})
	}
	return out
}
