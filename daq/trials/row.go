package trials

import (
	"math"
	"slices"

	"joulewell/energy"
	"joulewell/energy/loss"
)

// Row is a trial in one row. What is not known is nil.
type Row struct {
	Run    string `json:"run"` // file name of the rows, for the caller to fill in
	Bench  string `json:"bench"`
	Spring string `json:"spring"`
	Bob    string `json:"bob"`

	Counts    bool `json:"counts"`
	Overruled bool `json:"overruled"` // a person has said so against the findings

	Release float64 `json:"release_s"` // [s] on the run's time base
	Over    Reason  `json:"over"`
	Cycles  int     `json:"cycles"` // [1] whole swings

	Start  *Place `json:"start,omitempty"`  // where it was held
	Lowest *Place `json:"lowest,omitempty"` // the first lowest point; the first turn where it was pulled down
	End    *Place `json:"end,omitempty"`    // the last turning point on the side of the start

	Amplitude    *energy.Estimate `json:"amplitude_m,omitempty"`       // [m] half the way of the first fall
	Period       *energy.Estimate `json:"period_s,omitempty"`          // [s] of a whole swing
	FirstLoss    *energy.Estimate `json:"first_fall_loss_J,omitempty"` // [J] from the start to the first turn
	CycleLoss    *energy.Estimate `json:"loss_per_cycle_J,omitempty"`  // [J] mean over all cycles
	Swung        *energy.Estimate `json:"swing_energy_J,omitempty"`    // [J] of the swing at the start, above the bob at rest
	Push         *energy.Estimate `json:"release_speed_m_s,omitempty"` // [m/s] that the swing shows at the release
	Excess       *energy.Estimate `json:"release_excess_m,omitempty"`  // [m] by which it swings farther out than where it was held
	Decay        string           `json:"decay_law"`                   // empty where the data cannot tell
	Findings     []Finding        `json:"findings"`
	Notes        []string         `json:"notes,omitempty"`
	FromFirstTop bool             `json:"books_without_release,omitempty"` // the books leave the release out

	Rate   *energy.Estimate    `json:"rate_by_period_N_per_m,omitempty"` // [N/m] that the period shows
	Shared map[string][]Effect `json:"shared,omitempty"`                 // what other trials share of the uncertainties, by the quantity's key
}

// Place is the bob where it stands still.
type Place struct {
	T             float64         `json:"time_s"`          // [s] on the run's time base
	Height        energy.Estimate `json:"height_m"`        // [m] of its lowest point above the floor
	Extension     energy.Estimate `json:"extension_m"`     // [m] of the spring
	Elastic       energy.Estimate `json:"elastic_J"`       // [J]
	Gravitational energy.Estimate `json:"gravitational_J"` // [J] from the floor
	Total         energy.Estimate `json:"total_J"`         // [J] the bob stands, nothing is kinetic
}

// Overrule lets a person say whether the trial counts.
func (r *Row) Overrule(count bool) {
	r.Overruled = count != counts(r.Findings)
	r.Counts = count
}

// Verdict says whether the trial counts, and whether that is by a person's word.
func (r *Row) Verdict() string {
	text := "no"
	if r.Counts {
		text = "yes"
	}
	if r.Overruled {
		text += ", a person decided so"
	}
	return text
}

// found adds findings.
func (r *Row) found(more []Finding) {
	r.Findings = append(r.Findings, more...)
	r.Counts = counts(r.Findings)
}

// mostSwings are looked at by those who judge.
const mostSwings = 10

// judge adds what is found by the readings alone.
func (r *Row) judge(v *view) {
	hand, again := v.again()
	end := min(v.end, hand, v.release+mostSwings*2*v.body.half)
	r.found(v.floor())
	r.found(v.lost())
	if !r.has(Floor) { // a swing that met the floor tells nothing of its release
		detour, swayed := v.sway(end)
		p := v.pushOf(end, detour)
		if p.known {
			r.Push, r.Excess = &p.speed, &p.excess
		}
		r.found(v.pushed(p))
		r.found(swayed)
	}
	r.found(again)
	r.found(v.short(hand))
}

func (r *Row) has(f Fault) bool {
	return slices.ContainsFunc(r.Findings, func(g Finding) bool { return g.Fault == f })
}

// fill sums up a trial of which a swing could be worked out.
func (r *Row) fill(v *view) {
	hand, _ := v.again()
	r.Cycles = v.swings(hand)
	r.states(v)
	r.losses(v)
	r.share(v)
	r.Notes = append(r.Notes, v.swing.Notes...)
}

// states fills in where the bob stood.
func (r *Row) states(v *view) {
	turns := v.swing.Turns
	first := 0
	if turns[0].Release {
		r.Start, first = v.place(0), 1
	} else {
		r.FromFirstTop = true
	}
	for i := first; i < len(turns) && r.Lowest == nil; i++ {
		if turns[i].Side == loss.Lower || r.Start != nil {
			r.Lowest = v.place(i)
		}
	}
	r.End = v.place(loss.LastAlike(v.swing.Record))
	way := v.between(0, 1)
	r.Amplitude = &energy.Estimate{Value: way.Value / 2, U: way.U / 2}
	r.Period = v.swing.Period
}

// between is the way [m] from one turning point to another; the sensor's place falls out.
func (v *view) between(i, j int) energy.Estimate {
	a, z := v.swing.Record[i].Extension, v.swing.Record[j].Extension
	way := math.Abs(z.Value - a.Value)
	return energy.Estimate{Value: way, U: math.Sqrt(a.U*a.U + z.U*z.U + math.Pow(way*v.swing.Entries.Scale, 2))}
}

func (v *view) place(i int) *Place {
	t := &v.swing.Turns[i]
	return &Place{
		T: t.T.Value, Height: t.Height, Extension: v.body.apparatus.ExtensionOf(t.Height),
		Elastic: t.Energies.Elastic, Gravitational: t.Energies.Gravitational, Total: t.Energies.Total,
	}
}

// losses fills in where the joules went.
func (r *Row) losses(v *view) {
	s := v.swing
	if e := s.Evidence; e != nil {
		r.Decay = e.Verdict
	}
	swung := s.Whole.Swing
	r.Swung = &swung
	if n := s.Record[loss.LastAlike(s.Record)].Index - s.Record[0].Index; n >= 2 {
		cycles := float64(n) / 2
		r.CycleLoss = &energy.Estimate{Value: s.Whole.Lost.Value / cycles, U: s.Whole.Lost.U / cycles}
	}
	if !s.Record[0].Release || s.Record[1].Index != 1 {
		return
	}
	first := s.Entries
	first.From, first.To = 0, 1
	if fall, err := loss.Balance(first); err == nil {
		r.FirstLoss = &fall.Lost
		r.Shared = map[string][]Effect{KeyFirstLoss: v.effects(fall.Budget, 1)}
	}
}
