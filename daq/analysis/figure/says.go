package figure

import (
	"fmt"

	"joulewell/daq/analysis"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/quantity"
)

// What each figure shows, in words.

func saysEnergies(s *analysis.Swing) string {
	text := "Kinetic, elastic and gravitational energy over time, each in a line with its band, exchange with one another; the total lies above them"
	if n := len(s.Turns); n > 1 {
		last := min(n-1, 2*periods)
		text += fmt.Sprintf(", at %s from the floor at the first turning point and at %s at turning point %d",
			both(s.Turns[0].Energies.Total), both(s.Turns[last].Energies.Total), s.Turns[last].Index)
	}
	return text + "."
}

func saysLedger(s *analysis.Swing) string {
	first, last := &s.Rows[0], &s.Rows[len(s.Rows)-1]
	return fmt.Sprintf("Energy lost in each row of the ledger, as points with bars, from %s in the first row to %s in the last of %d; beside each what is in no account.",
		both(first.Lost), both(last.Lost), len(s.Rows))
}

func saysLoop(s *analysis.Swing) string {
	return fmt.Sprintf("Force over extension in the first and in the last cycle of which a loop is known, both near one straight line; below, what remains without that line. On the mean of %d cycles %s a cycle stay in the spring.",
		len(s.Loops.Loops), both(s.Loops.PerCycle))
}

func saysResiduals(s *analysis.Swing) string {
	var most float64
	known, aside := 0, 0
	for i := range s.States {
		switch n := &s.States[i]; {
		case !n.Known:
		case n.Outlier:
			aside++
		default:
			known++
			most = max(most, n.Residual, -n.Residual)
		}
	}
	return fmt.Sprintf("Distances read less the motion fitted, as dots over time: %d that were used, all within %s; %d set aside.",
		known, quantity.Length.Text(most, most), aside)
}

func both(e energy.Estimate) string { return quantity.Energy.Both(e.Value, loss.Coverage*e.U) }
