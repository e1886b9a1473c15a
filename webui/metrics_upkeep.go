package webui

import (
	"cmp"
	"math"

	"github.com/prometheus/client_golang/prometheus"

	"joulewell/calib/drift"
	"joulewell/daq/upkeep"
)

// collectUpkeep tells how the calibrations stand and what checks and the watch of the idle
// bench say.
func (c *collector) collectUpkeep(gauge func(*prometheus.Desc, float64, ...string), count func(*prometheus.Desc, uint64, ...string)) {
	now := c.desk.Now()
	for _, s := range c.desk.Standing() {
		kind := string(s.Kind)
		if s.Entry != nil {
			gauge(descCalAge, now.Sub(s.Entry.Date).Seconds(), kind)
		}
		gauge(descOverdue, oneIf(cmp.Or(s.Overdue(now), s.Stale) != ""), kind)
	}
	last, signals := c.desk.Watched()
	for _, r := range last {
		if !math.IsNaN(r.Rest.Moved) {
			gauge(descRest, r.Rest.Moved/r.Needed, string(r.Kind))
		}
	}
	for kind, n := range signals {
		count(descSignals, n, string(kind))
	}
	for _, k := range []upkeep.Kind{upkeep.Force, upkeep.Distance} {
		if list, err := c.desk.Checked(k); err == nil && len(list) > 0 {
			collectChecks(gauge, k, list)
		}
	}
}

// collectChecks tells of the last check of each kind of standard.
func collectChecks(gauge func(*prometheus.Desc, float64, ...string), k upkeep.Kind, list []upkeep.Checked) {
	levels := map[drift.State]float64{drift.InControl: 0, drift.Look: 1, drift.Recalibrate: 2}
	worst, judged := 0.0, false
	zero := math.NaN()
	var mass *drift.Record
	for i := range list {
		s := &list[i]
		if s.Verdict != nil {
			worst, judged = max(worst, levels[s.Verdict.State]), true
		}
		newest := &s.History.Records[len(s.History.Records)-1]
		switch s.What {
		case drift.Zero:
			zero = newest.Deviation().Value
		case drift.Height:
			gauge(descHeightOff, newest.Deviation().Value)
		case drift.Mass:
			if mass == nil || newest.Reference.Value > mass.Reference.Value {
				mass = newest
			}
		}
	}
	if judged {
		gauge(descState, worst, string(k))
	}
	if !math.IsNaN(zero) {
		gauge(descZero, zero)
	}
	if mass != nil && mass.Reference.Value > 0 {
		off := mass.Deviation().Value
		if !math.IsNaN(zero) {
			off -= zero
		}
		gauge(descSpan, off/mass.Reference.Value)
	}
}
