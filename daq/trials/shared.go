package trials

import (
	"fmt"
	"math"

	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/plan"
)

// Keys of a row's quantities that are looked at over many trials, as in its JSON.
const (
	KeyFirstLoss = "first_fall_loss_J"
	KeyCycleLoss = "loss_per_cycle_J"
	KeyAmplitude = "amplitude_m"
	KeyPeriod    = "period_s"
	KeySwung     = "swing_energy_J"
	KeyStart     = "start_total_J"
	KeyRate      = "rate_by_period_N_per_m"
)

// Effect is what an input that other trials have in common does to a quantity of a row.
// Sources of one name are one and the same input, also on another bench: the name says
// whose it is, and its value.
type Effect struct {
	Source string  `json:"source"`
	By     float64 `json:"by"` // [of the quantity] its change when the input is stated higher by its standard uncertainty
}

// Quantity returns the estimate that goes by a key; nil where it is not known.
func (r *Row) Quantity(key string) *energy.Estimate {
	if key == KeyStart {
		if r.Start == nil {
			return nil
		}
		return &r.Start.Total
	}
	if at := r.of(key); at != nil {
		return *at
	}
	return nil
}

// Measure sets the estimate that goes by a key, as read from a table.
func (r *Row) Measure(key string, e energy.Estimate) {
	if key == KeyStart {
		r.Start = &Place{Total: e}
	} else if at := r.of(key); at != nil {
		*at = &e
	}
}

// of is where the estimate of a key stands.
func (r *Row) of(key string) **energy.Estimate {
	switch key {
	case KeyFirstLoss:
		return &r.FirstLoss
	case KeyCycleLoss:
		return &r.CycleLoss
	case KeyAmplitude:
		return &r.Amplitude
	case KeyPeriod:
		return &r.Period
	case KeySwung:
		return &r.Swung
	case KeyRate:
		return &r.Rate
	}
	return nil
}

// share fills in what the quantities of the row have in common with those of other
// trials, and the rate that the period shows.
func (r *Row) share(v *view) {
	if r.Shared == nil {
		r.Shared = map[string][]Effect{}
	}
	r.Shared[KeySwung], r.Shared[KeyPeriod] = v.effects(v.swing.Whole.SwingBudget, 1), []Effect{}
	if r.CycleLoss != nil {
		r.Shared[KeyCycleLoss] = v.effects(v.swing.Whole.Budget, r.CycleLoss.U/v.swing.Whole.Lost.U)
	}
	if r.Amplitude != nil {
		r.Shared[KeyAmplitude] = []Effect{{v.sensor("scale"), r.Amplitude.Value * v.swing.Entries.Scale}}
	}
	if r.Start != nil {
		r.Shared[KeyStart] = v.atStart(r.Start.Total.U)
	}
	r.byPeriod(v)
}

// byPeriod is the rate [N/m] that the period shows, k = (2 pi/T)^2 (M + f m_s), by which a
// spring that warms or tires is seen; what damping does to the period is left out.
func (r *Row) byPeriod(v *view) {
	if r.Period == nil {
		return
	}
	a := &v.body.apparatus
	bob, spring := a.Bob.Mass, a.Spring.Mass
	share := plan.EffectiveFraction(spring.Value / bob.Value)
	square := math.Pow(2*math.Pi/r.Period.Value, 2)
	rate := energy.Estimate{Value: square * (bob.Value + share*spring.Value)}
	r.Shared[KeyRate] = []Effect{{v.inputName(loss.InputBobMass), square * bob.U}, {v.inputName(loss.InputSpringMass), square * share * spring.U}}
	u := 2 * rate.Value * r.Period.U / r.Period.Value
	for _, e := range r.Shared[KeyRate] {
		u = math.Hypot(u, e.By)
	}
	rate.U = u
	r.Rate = &rate
}

// effects names whose the inputs of a budget are.
func (v *view) effects(budget []loss.Contribution, factor float64) []Effect {
	all := []Effect{}
	for _, c := range budget {
		switch {
		case c.Effect == 0:
		case c.Input == loss.InputOffset:
			all = append(all, v.places(c.Effect*factor)...)
		default:
			all = append(all, Effect{v.inputName(c.Input), c.Effect * factor})
		}
	}
	return all
}

// places divides what the unsure place of the bob does among those who are unsure.
func (v *view) places(effect float64) (all []Effect) {
	a := &v.body.apparatus
	parts := []struct {
		source string
		u      float64
	}{
		{v.sensor("offset"), v.swing.Entries.Offset},
		{fmt.Sprintf("support height at %s: %.6g m", v.bench.Name, a.Support.Value), a.Support.U},
		{fmt.Sprintf("bob length of %s: %.6g m", v.bob(), a.Bob.Length.Value), a.Bob.Length.U},
		{fmt.Sprintf("natural length of %s: %.6g m", v.spring(), a.Spring.NaturalLength.Value), a.Spring.NaturalLength.U},
	}
	whole := 0.0
	for _, p := range parts {
		whole = math.Hypot(whole, p.u)
	}
	for _, p := range parts {
		if p.u > 0 {
			all = append(all, Effect{p.source, effect * p.u / whole})
		}
	}
	return all
}

// atStart is all that makes the total at the start uncertain, but the scatter of its place.
func (v *view) atStart(u float64) []Effect {
	a, turn := &v.body.apparatus, &v.swing.Turns[0]
	slope := a.Spring.InitialTension.Value + a.Spring.Rate.Value*turn.Extension.Value - (a.Bob.Mass.Value+a.Spring.Mass.Value/2)*a.Gravity.Value
	own := slope * turn.Extension.U
	return []Effect{{fmt.Sprintf("heights, masses and rate of %s on %s, held at %s", v.bob(), v.spring(), v.sensor("offset")), math.Sqrt(max(0, u*u-own*own))}}
}

// inputName says whose an input of the books is, and its value.
func (v *view) inputName(input string) string {
	a := &v.body.apparatus
	switch input {
	case loss.InputBobMass:
		return fmt.Sprintf("bob mass of %s: %.6g kg", v.bob(), a.Bob.Mass.Value)
	case loss.InputSpringMass:
		return fmt.Sprintf("spring mass of %s: %.6g kg", v.spring(), a.Spring.Mass.Value)
	case loss.InputRate:
		return fmt.Sprintf("spring rate of %s: %.6g N/m", v.spring(), a.Spring.Rate.Value)
	case loss.InputTension:
		return fmt.Sprintf("initial tension of %s: %.6g N", v.spring(), a.Spring.InitialTension.Value)
	case loss.InputGravity:
		return fmt.Sprintf("local gravity: %.8g m/s2", a.Gravity.Value)
	case loss.InputScale:
		return v.sensor("scale")
	}
	return fmt.Sprintf("%s, %s on %s", input, v.bob(), v.spring())
}

// sensor names a coefficient of the ranger of the bench, in its calibration.
func (v *view) sensor(coefficient string) string {
	return fmt.Sprintf("%s of the distance at %s, calibrated %s", coefficient, v.bench.Name, v.bench.Calibration.Distance.Date.Format("2006-01-02"))
}

func (v *view) spring() string { return nameOf(v.bench.SpringLabel, "the spring", v.bench.Name) }

func (v *view) bob() string { return nameOf(v.bench.BobLabel, "the bob", v.bench.Name) }

func nameOf(label, thing, bench string) string {
	if label == "" {
		return thing + " at " + bench
	}
	return label
}
