package webui

import (
	"errors"
	"fmt"
	"net/http"
	"time"

	"joulewell/daq/series"
	"joulewell/daq/trials"
	"joulewell/daq/trials/tidy"
)

// trialsAnswer is the body of GET /api/trials.
type trialsAnswer struct {
	Armed     bool          `json:"armed"`
	State     trials.State  `json:"state"`
	Rule      trials.Rule   `json:"rule"`
	Group     string        `json:"group"` // label for the trials to come
	Sealed    bool          `json:"sealed"`
	Asked     series.Asked  `json:"asked"`           // the worksheet that the seal is about
	Recording string        `json:"recording"`       // run of the trial going on; may be empty
	Trouble   string        `json:"trouble"`         // may be empty
	Revision  uint64        `json:"revision"`        // [1]
	Mark      string        `json:"mark"`            // names this state, to ask for what changes after it
	Since     string        `json:"since"`           // state after which the trials told have changed; empty = all are told
	Count     int           `json:"count"`           // [1] trials there are
	Trials    []trialAnswer `json:"trials"`          // the oldest first
	Table     any           `json:"table,omitempty"` // a table.Table; absent while sealed
}

// trialAnswer is one trial.
type trialAnswer struct {
	At      int       `json:"at"` // [1] place among all trials, from 0
	Run     string    `json:"run"`
	Index   int       `json:"index"` // [1]
	Created time.Time `json:"created"`
	Group   string    `json:"group"`
	Virtual bool      `json:"virtual"`
	Row     any       `json:"row"` // a trials.Row, or the readings alone
}

// withTrials refuses where there is no series.
func (s *Server) withTrials(h func(*series.Series, http.ResponseWriter, *http.Request)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if s.options.Trials == nil {
			refuse(w, http.StatusNotFound, "no trials are made here: a recorded run is played back, or there is no data folder")
			return
		}
		h(s.options.Trials, w, r)
	}
}

func (s *Server) trials(x *series.Series, w http.ResponseWriter, r *http.Request) {
	writeJSON(w, http.StatusOK, trialsOf(x, r))
}

// trialsOf tells how things stand: what has changed since the mark of the request, else all.
func trialsOf(x *series.Series, r *http.Request) trialsAnswer {
	v := x.View()
	since := r.URL.Query().Get("since")
	changed, known := v.Since(since)
	if !known {
		since = ""
	}
	answer := trialsAnswer{
		Armed: v.Armed, State: v.State, Rule: v.Rule, Group: v.Group, Sealed: v.Sealed, Asked: v.Asked,
		Recording: v.Recording, Trouble: v.Trouble, Revision: v.Revision,
		Mark: v.Mark(), Since: since, Count: len(v.Trials), Trials: []trialAnswer{},
	}
	for _, i := range changed {
		t := &v.Trials[i]
		out := trialAnswer{i, t.Run, t.Index, t.Created, t.Group, t.Virtual, &t.Row}
		if v.Sealed {
			out.Row = readingsOf(&t.Row, v.Asked.Extensions())
		}
		answer.Trials = append(answer.Trials, out)
	}
	if !v.Sealed {
		answer.Table = v.Table()
	}
	return answer
}

// trialsCSV answers with one tidy row a trial.
func (s *Server) trialsCSV(x *series.Series, w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8; header=present")
	w.Header().Set("Content-Disposition", `attachment; filename=trials.csv`)
	w.Header().Set("Cache-Control", "no-store")
	v := x.View()
	if err := tidy.Write(w, v.Kept()); err != nil {
		s.options.Log.Debug("send the table of trials", "cause", err)
	}
}

func (s *Server) trialsArm(x *series.Series, w http.ResponseWriter, r *http.Request) {
	var request struct {
		trials.Rule
		Group *string `json:"group"` // nil: as it is
	}
	if !readJSON(w, r, &request) {
		return
	}
	if request.Group == nil {
		now := x.View().Group
		request.Group = &now
	}
	answerTrials(w, r, x, x.Arm(request.Rule, *request.Group))
}

func (s *Server) trialsDisarm(x *series.Series, w http.ResponseWriter, r *http.Request) {
	var nothing struct{}
	if readJSON(w, r, &nothing) {
		x.Disarm()
		answerTrials(w, r, x, nil)
	}
}

// trialsGroup labels the trials to come, or those of a run.
func (s *Server) trialsGroup(x *series.Series, w http.ResponseWriter, r *http.Request) {
	var request struct {
		Run   string `json:"run"`
		Group string `json:"group"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	if request.Run == "" {
		answerTrials(w, r, x, x.Group(request.Group))
		return
	}
	answerTrials(w, r, x, x.Relabel(request.Run, request.Group))
}

func (s *Server) trialsOverrule(x *series.Series, w http.ResponseWriter, r *http.Request) {
	var request struct {
		Run    string `json:"run"`
		Index  int    `json:"index"` // [1]
		Counts *bool  `json:"counts"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	if request.Counts == nil {
		refuse(w, http.StatusBadRequest, "say by counts whether the trial counts")
		return
	}
	answerTrials(w, r, x, x.Overrule(request.Run, request.Index, *request.Counts))
}

// answerTrials answers a command with how things stand then.
func answerTrials(w http.ResponseWriter, r *http.Request, x *series.Series, err error) {
	switch {
	case err == nil:
		writeJSON(w, http.StatusOK, trialsOf(x, r))
	case errors.Is(err, series.ErrNoTrial):
		refuse(w, http.StatusNotFound, err.Error())
	case errors.Is(err, series.ErrRule), errors.Is(err, series.ErrGroup), errors.Is(err, series.ErrSheet), errors.Is(err, series.ErrHandIn):
		refuse(w, http.StatusUnprocessableEntity, err.Error())
	default:
		refuse(w, http.StatusInternalServerError, fmt.Sprint(err))
	}
}
