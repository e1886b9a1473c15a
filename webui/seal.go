package webui

import (
	"net/http"

	"joulewell/daq/series"
	"joulewell/daq/trials"
	"joulewell/energy"
)

// The seal is a curtain, not a lock: who has the data folder, or a pencil, has the
// answers. It keeps them off the pages until a class has worked out its own.

// sealed reports whether answers are withheld.
func (s *Server) sealed() bool { return s.options.Trials != nil && s.options.Trials.Sealed() }

// unsealed refuses while answers are withheld. Whatever holds energies goes through it.
func (s *Server) unsealed(h http.HandlerFunc) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if s.sealed() {
			refuse(w, http.StatusLocked, series.ErrSealed.Error())
			return
		}
		h(w, r)
	}
}

// readings is what stays of a [trials.Row] while answers are withheld.
type readings struct {
	Run       string           `json:"run"`
	Bench     string           `json:"bench"`
	Spring    string           `json:"spring"`
	Bob       string           `json:"bob"`
	Counts    bool             `json:"counts"`
	Overruled bool             `json:"overruled"`
	Release   float64          `json:"release_s"` // [s]
	Over      trials.Reason    `json:"over"`
	Cycles    int              `json:"cycles"` // [1]
	Start     *placeRead       `json:"start,omitempty"`
	Lowest    *placeRead       `json:"lowest,omitempty"`
	End       *placeRead       `json:"end,omitempty"`
	Amplitude *energy.Estimate `json:"amplitude_m,omitempty"` // [m]
	Period    *energy.Estimate `json:"period_s,omitempty"`    // [s]
	Findings  []trials.Finding `json:"findings"`
}

type placeRead struct {
	T         float64          `json:"time_s"`                // [s]
	Height    energy.Estimate  `json:"height_m"`              // [m]
	Extension *energy.Estimate `json:"extension_m,omitempty"` // [m]; absent where the sheet asks for it
}

// readingsOf leaves the extensions out where they are withheld.
func readingsOf(r *trials.Row, extensions bool) readings {
	place := func(p *trials.Place) *placeRead {
		if p == nil {
			return nil
		}
		read := &placeRead{T: p.T, Height: p.Height}
		if !extensions {
			read.Extension = &p.Extension
		}
		return read
	}
	return readings{
		r.Run, r.Bench, r.Spring, r.Bob, r.Counts, r.Overruled, r.Release, r.Over, r.Cycles,
		place(r.Start), place(r.Lowest), place(r.End), r.Amplitude, r.Period, r.Findings,
	}
}

func (s *Server) trialsSeal(x *series.Series, w http.ResponseWriter, r *http.Request) {
	var request series.Asked
	if readJSON(w, r, &request) {
		answerTrials(w, r, x, x.Seal(request))
	}
}

func (s *Server) trialsOpen(x *series.Series, w http.ResponseWriter, r *http.Request) {
	var nothing struct{}
	if readJSON(w, r, &nothing) {
		x.Unseal()
		answerTrials(w, r, x, nil)
	}
}
