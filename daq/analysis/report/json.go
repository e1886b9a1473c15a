package report

import (
	"encoding/json"
	"io"

	"joulewell/daq/analysis"
	"joulewell/daq/setup"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// The object that JSON writes. Uncertainties are standard ones; keys name the unit; what
// is not known is left out.

type runJSON struct {
	Run            string      `json:"run"`
	Bench          string      `json:"bench"`
	Rows           uint64      `json:"rows"`
	Reference      float64     `json:"reference_height_m"` // [m] from which gravitational energy counts
	Distances      uint64      `json:"distances"`
	Forces         uint64      `json:"forces"`
	Length         float64     `json:"length_s"`                            // [s]
	Noise          float64     `json:"noise_m"`                             // [m]
	Window         float64     `json:"window_s"`                            // [s]
	Delay          *estimate   `json:"force_delay_left_s,omitempty"`        // [s]
	DelayTaken     *estimate   `json:"force_delay_taken_out_s,omitempty"`   // [s]
	DelayFriction  *float64    `json:"force_delay_by_friction_s,omitempty"` // [s]
	DelayDisagrees bool        `json:"force_delay_disagrees"`
	Swings         []swingJSON `json:"swings"`
	Notes          []string    `json:"notes,omitempty"`
}

type estimate struct {
	Value float64 `json:"value"` // [any]
	U     float64 `json:"u"`     // [any] standard uncertainty
}

type swingJSON struct {
	From          float64         `json:"from_s"` // [s]
	To            float64         `json:"to_s"`   // [s]
	Released      bool            `json:"released"`
	Period        *estimate       `json:"period_s,omitempty"`                       // [s]
	Decrease      *estimate       `json:"amplitude_share_lost_per_cycle,omitempty"` // [1]
	Push          *estimate       `json:"release_speed_upward_m_s,omitempty"`       // [m/s]
	Pushed        bool            `json:"pushed"`
	NoiseBias     float64         `json:"kinetic_noise_taken_off_J"`  // [J]
	Flattening    float64         `json:"velocity_share_put_back"`    // [1]
	MostPut       float64         `json:"kinetic_put_back_at_most_J"` // [J]
	Turns         []turnJSON      `json:"turning_points"`
	Verdict       *string         `json:"decay_law,omitempty"`
	DecaySentence *string         `json:"decay_verdict,omitempty"`
	Laws          []lawJSON       `json:"decay_laws,omitempty"`
	LoopPerCycle  *estimate       `json:"loop_work_per_cycle_J,omitempty"` // [J]
	CyclesPerRow  int             `json:"cycles_per_row"`
	Rows          []ledgerJSON    `json:"cycles"`
	Whole         ledgerJSON      `json:"whole"`
	Drawn         *quantity.Drawn `json:"whole_monte_carlo,omitempty"`
	FirstDrawn    *quantity.Drawn `json:"first_cycle_monte_carlo,omitempty"`
	Sentence      string          `json:"verdict"`
	Notes         []string        `json:"notes,omitempty"`
}

type turnJSON struct {
	Index         int      `json:"index"`
	Release       bool     `json:"release,omitempty"`
	T             estimate `json:"time_s"`          // [s]
	Extension     estimate `json:"extension_m"`     // [m]
	Height        estimate `json:"height_m"`        // [m]
	Elastic       estimate `json:"elastic_J"`       // [J]
	Gravitational estimate `json:"gravitational_J"` // [J]
	Total         estimate `json:"total_J"`         // [J]
}

type lawJSON struct {
	Name    string   `json:"friction"`
	Above   float64  `json:"aicc_above_best"` // [1]
	Share   float64  `json:"evidence_share"`  // [1]
	ChiSq   float64  `json:"chi_squared"`     // [1]
	Freedom int      `json:"degrees_of_freedom"`
	First   estimate `json:"first_amplitude_m"` // [m]
}

type ledgerJSON struct {
	From     float64       `json:"from_s"`   // [s]
	To       float64       `json:"to_s"`     // [s]
	Swing    estimate      `json:"swing_J"`  // [J]
	Change   estimate      `json:"change_J"` // [J]
	Lost     estimate      `json:"lost_J"`   // [J]
	Accounts []accountJSON `json:"accounts"`
	Residual estimate      `json:"residual_J"`                // [J]
	AirLow   *float64      `json:"air_drag_low_J,omitempty"`  // [J]
	AirHigh  *float64      `json:"air_drag_high_J,omitempty"` // [J]
	Budget   []budgetJSON  `json:"lost_budget"`
}

type accountJSON struct {
	Name string   `json:"account"`
	Work estimate `json:"work_J"` // [J]
	From string   `json:"found_by"`
}

type budgetJSON struct {
	Input string  `json:"input"`
	U     float64 `json:"u_J"` // [J]
}

// JSON writes a run for a script to read, one object and a line end.
func JSON(w io.Writer, name string, b *setup.Bench, r *analysis.Run) error {
	o := runJSON{
		Run: name, Bench: b.Name, Rows: r.Counts.Rows, Distances: r.Counts.Distances, Forces: r.Counts.Forces,
		Length: r.Length, Noise: r.Noise, Window: 2 * r.HalfWidth, Notes: r.Notes,
		Reference: r.Reference,
	}
	if d := r.Delay; d != nil {
		o.Delay, o.DelayTaken, o.DelayFriction, o.DelayDisagrees = of(d.Lag), of(d.Calibrated), &d.Friction, d.Disagrees
	}
	for i := range r.Swings {
		o.Swings = append(o.Swings, swingOf(&r.Swings[i]))
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(o)
}

func of(e energy.Estimate) *estimate { return &estimate{e.Value, e.U} }

func swingOf(s *analysis.Swing) swingJSON {
	o := swingJSON{
		From: s.Whole.From, To: s.To, Released: s.Record[0].Release,
		NoiseBias: s.Kinetic.NoiseBias, Flattening: s.Kinetic.Flattening, MostPut: s.Kinetic.MostPut,
		CyclesPerRow: s.CyclesPerRow, Whole: ledgerOf(s.Whole), Sentence: s.Whole.Sentence,
		Drawn: quantity.DrawnOf(s.Drawn), FirstDrawn: quantity.DrawnOf(s.FirstDrawn),
		Rows: []ledgerJSON{}, Notes: append(append([]string{}, s.Notes...), s.Whole.Notes...),
	}
	if s.Period != nil {
		o.Period = of(*s.Period)
	}
	if s.Decrease != nil {
		o.Decrease = of(*s.Decrease)
	}
	if s.Push != nil && s.Push.Pushed {
		o.Push, o.Pushed = of(s.Push.Speed), true
	}
	for i := range s.Turns {
		t := &s.Turns[i]
		o.Turns = append(o.Turns, turnJSON{
			t.Index, t.Release, *of(t.T), *of(t.Extension), *of(t.Height),
			*of(t.Energies.Elastic), *of(t.Energies.Gravitational), *of(t.Energies.Total),
		})
	}
	if e := s.Evidence; e != nil {
		o.DecaySentence = &e.Sentence
		if e.Verdict != "" {
			o.Verdict = &e.Verdict
		}
		for _, c := range e.Candidates {
			o.Laws = append(o.Laws, lawJSON{c.Fit.Model.Name, c.Delta, c.Weight, c.Fit.ChiSquared, c.Fit.Freedom, *of(c.Fit.First)})
		}
	}
	if s.Loops != nil && s.Loops.TooSlow == "" {
		o.LoopPerCycle = of(s.Loops.PerCycle)
	}
	for i := range s.Rows {
		o.Rows = append(o.Rows, ledgerOf(&s.Rows[i]))
	}
	return o
}

func ledgerOf(l *loss.Ledger) ledgerJSON {
	o := ledgerJSON{From: l.From, To: l.To, Swing: *of(l.Swing), Change: *of(l.Change), Lost: *of(l.Lost), Residual: *of(l.Residual)}
	for _, a := range l.Accounts {
		o.Accounts = append(o.Accounts, accountJSON{a.Name, *of(a.Work), a.From})
	}
	for _, c := range l.Budget {
		o.Budget = append(o.Budget, budgetJSON{c.Input, c.U})
	}
	if l.Air != nil {
		o.AirLow, o.AirHigh = &l.Air.Low, &l.Air.High
	}
	return o
}
