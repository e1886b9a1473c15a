package paper

import (
	"fmt"

	"joulewell/daq/analysis/report"
	"joulewell/daq/workup"
)

// judged is the table of the trials in a run.
func judged(r *workup.Run) table {
	how := "Trials as judged for this page"
	if r.Kept {
		how = "Trials as they were kept"
	}
	t := table{
		Caption: how + "; ± is the expanded uncertainty, k = 2",
		Head: []column{{"let go at / s", true}, {"cycles", true}, {"amplitude / mm", true}, {"period / s", true},
			{"lost in the first fall / mJ", true}, {"lost a cycle / mJ", true}, {"counts", false}},
	}
	for i := range r.Trials {
		row := &r.Trials[i]
		t.Rows = append(t.Rows, []string{
			fmt.Sprintf("%.2f", row.Release), fmt.Sprint(row.Cycles), report.Shown(row.Amplitude, milli), report.Shown(row.Period, one),
			report.Shown(row.FirstLoss, milli), report.Shown(row.CycleLoss, milli), row.Verdict(),
		})
	}
	return t
}

// findings says what is wrong with each trial, or must be known of it.
func findings(r *workup.Run) []string {
	var all []string
	for i := range r.Trials {
		for _, f := range r.Trials[i].Findings {
			text := fmt.Sprintf("%.2f s, %s: %s", r.Trials[i].Release, f.Fault, f.Sentence)
			if f.Voids {
				text += " (voids the trial)"
			}
			all = append(all, text)
		}
	}
	return all
}

// tally says how many trials of a run count.
func tally(r *workup.Run) string {
	if len(r.Trials) == 0 {
		return "none seen"
	}
	n := 0
	for i := range r.Trials {
		if r.Trials[i].Counts {
			n++
		}
	}
	return fmt.Sprintf("%d of %d", n, len(r.Trials))
}
