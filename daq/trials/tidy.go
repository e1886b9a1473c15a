package trials

import (
	"strconv"
	"strings"

	"joulewell/energy"
)

// Header names the columns of [Row.Fields]: one row a trial, units in the names.
func Header() []string {
	return []string{
		"run", "bench", "spring", "bob", "counts", "release_s", "over", "cycles", "amplitude_m", "u_amplitude_m", "period_s", "u_period_s",
		"first_fall_loss_J", "u_first_fall_loss_J", "loss_per_cycle_J", "u_loss_per_cycle_J", "swing_energy_J", "u_swing_energy_J", "decay_law", "findings",
	}
}

// Fields is a trial in a row of a table. What is not known is empty.
func (r *Row) Fields() []string {
	line := []string{r.Run, r.Bench, r.Spring, r.Bob, strconv.FormatBool(r.Counts), number(r.Release), string(r.Over), strconv.Itoa(r.Cycles)}
	for _, e := range []*energy.Estimate{r.Amplitude, r.Period, r.FirstLoss, r.CycleLoss, r.Swung} {
		if e == nil {
			line = append(line, "", "")
			continue
		}
		line = append(line, number(e.Value), number(e.U))
	}
	var faults []string
	for _, f := range r.Findings {
		faults = append(faults, string(f.Fault))
	}
	return append(line, r.Decay, strings.Join(faults, " "))
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', 7, 64) }
