package webui

import (
	"math"
	"net/http"
	"time"

	"joulewell/daq/upkeep"
	"joulewell/webui/live"
)

// watched is what the watch of the idle bench last saw of a sensor.
type watched struct {
	Kind    upkeep.Kind `json:"kind"`
	State   string      `json:"state"`  // in control, look or recalibrate
	Moved   live.Number `json:"moved"`  // [N], [m] off the level; null while that is learnt
	Needed  live.Number `json:"needed"` // [N], [m] up to which the work is served
	At      time.Time   `json:"at"`
	Signals uint64      `json:"signals"` // [1] records that signalled since the start
}

func watchedOf(d *upkeep.Desk) []watched {
	list := []watched{}
	last, signals := d.Watched()
	for _, r := range last {
		list = append(list, watched{
			r.Kind, string(r.Rest.State), live.Number(r.Rest.Moved), live.Number(r.Needed), r.At, signals[r.Kind],
		})
	}
	return list
}

// checked is how one standard was read over time.
type checked struct {
	Kind     upkeep.Kind   `json:"kind"`
	What     string        `json:"what"`
	Standard string        `json:"standard"`
	Unit     string        `json:"unit"`   // of needed, deviations and limits
	Needed   live.Number   `json:"needed"` // deviation that the calibration answers for
	State    string        `json:"state"`  // in control, look, recalibrate; empty while there are too few records
	Reason   string        `json:"reason"` // of the state, or why there is none
	Mean     live.Number   `json:"mean"`   // deviation that the charts hold records against
	SD       live.Number   `json:"sd"`     // standard deviation of one record
	Rate     live.Number   `json:"rate_per_s"`
	RateLow  live.Number   `json:"rate_low_per_s"` // the drift lies between this and the next with 95 %
	RateHigh live.Number   `json:"rate_high_per_s"`
	Records  []checkRecord `json:"records"`
}

type checkRecord struct {
	At        time.Time   `json:"at"`
	Deviation live.Number `json:"deviation"` // [unit] indication less reference
	U         live.Number `json:"u"`         // [unit] standard uncertainty of that
	Note      string      `json:"note"`
}

// mostRecords bounds the records of one standard in an answer, the newest ones.
const mostRecords = 500

func (s *Server) checks(d *upkeep.Desk, w http.ResponseWriter, _ *http.Request) {
	list := []checked{}
	for _, k := range []upkeep.Kind{upkeep.Force, upkeep.Distance} {
		all, err := d.Checked(k)
		if err != nil {
			refuse(w, http.StatusInternalServerError, err.Error())
			return
		}
		for i := range all {
			list = append(list, checkedOf(&all[i]))
		}
	}
	writeJSON(w, http.StatusOK, map[string]any{"checks": list})
}

func checkedOf(c *upkeep.Checked) checked {
	absent := live.Number(math.NaN())
	out := checked{
		Kind: c.Kind, What: string(c.What), Standard: c.Standard, Unit: string(c.History.Unit), Needed: live.Number(c.Needed),
		Reason: c.NotYet, Mean: absent, SD: absent, Rate: absent, RateLow: absent, RateHigh: absent, Records: []checkRecord{},
	}
	if v := c.Verdict; v != nil {
		out.State, out.Reason = string(v.State), v.Reason
		out.Mean, out.SD = live.Number(v.Level.Mean), live.Number(v.Level.SD)
	}
	if t := c.Trend; t != nil {
		out.Rate, out.RateLow, out.RateHigh = live.Number(t.Rate.Value), live.Number(t.Low), live.Number(t.High)
	}
	newest := c.History.Records[max(0, len(c.History.Records)-mostRecords):]
	for i := range newest {
		r := &newest[i]
		off := r.Deviation()
		out.Records = append(out.Records, checkRecord{r.When, live.Number(off.Value), live.Number(off.U), r.Note})
	}
	return out
}

// keepChecks ends a session by keeping its points as checks.
func (s *Server) keepChecks(d *upkeep.Desk, w http.ResponseWriter, r *http.Request) {
	var request struct {
		Note string `json:"note"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	_, err := d.KeepChecks(request.Note)
	answerUpkeep(w, http.StatusOK, d, err)
}
