package webui

import (
	_ "embed"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"unicode/utf8"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/series"
	"joulewell/webui/live"
)

// maxNote bounds the note of a run.
const maxNote = 2000 // [characters]

//go:embed openapi.json
var openAPIDocument []byte

// statusAnswer is the body of GET /api/status: what the websocket tells, and besides
// what it says only once, and the newest frame.
type statusAnswer struct {
	Bench   string      `json:"bench"`
	Source  string      `json:"source"`
	Session string      `json:"session"`
	Version string      `json:"version"`
	Lag     live.Number `json:"lag_s"` // [s]
	Seq     uint32      `json:"seq"`   // [1] of the newest reading
	live.Status
	Last map[string]any `json:"last"` // the newest frame while it is fresh, else null
}

func (s *Server) status(w http.ResponseWriter, _ *http.Request) {
	st := s.options.Bench.Status()
	answer := statusAnswer{
		Bench: st.Bench, Source: st.Source, Session: s.session, Version: s.options.Version,
		Lag: live.Number(st.Lag.Seconds()), Seq: st.Newest,
		Status: live.StatusOf(st, s.hub.Viewers(), s.brief()),
	}
	if st.Fresh {
		answer.Last = frameValues(&st.Last, s.brief())
	}
	writeJSON(w, http.StatusOK, answer)
}

// frameValues names every column of f; what the seal withholds is null.
func frameValues(f *frame.Frame, trials series.Brief) map[string]any {
	values := map[string]any{
		"t_s":   live.Number(f.Seconds()),
		"epoch": f.Epoch,
		"flags": string(f.Flags.Words(nil)),
	}
	for _, c := range frame.Columns() {
		v := c.Of(f)
		if trials.Withholds(&c) {
			v = math.NaN()
		}
		values[c.Name] = live.Number(v)
	}
	return values
}

func (s *Server) bench(w http.ResponseWriter, _ *http.Request) {
	writeJSON(w, http.StatusOK, s.options.Bench.Setup())
}

func (s *Server) startRun(w http.ResponseWriter, r *http.Request) {
	var request struct {
		Note string `json:"note"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	if n := utf8.RuneCountInString(request.Note); n > maxNote {
		refuse(w, http.StatusBadRequest, fmt.Sprintf("the note has %d characters: at most %d can be kept", n, maxNote))
		return
	}
	recording, err := s.options.Bench.StartRun(request.Note)
	answerRun(w, http.StatusCreated, recording, err)
}

func (s *Server) stopRun(w http.ResponseWriter, r *http.Request) {
	var nothing struct{}
	if !readJSON(w, r, &nothing) {
		return
	}
	recording, err := s.options.Bench.StopRun()
	answerRun(w, http.StatusOK, recording, err)
}

// answerRun answers a command. The bench's refusals say what to do about them.
func answerRun(w http.ResponseWriter, status int, recording daq.Recording, err error) {
	switch {
	case err == nil:
		writeJSON(w, status, live.RunOf(recording))
	case errors.Is(err, daq.ErrRecording), errors.Is(err, daq.ErrNotRecording), errors.Is(err, daq.ErrReplay),
		errors.Is(err, daq.ErrNoReadings), errors.Is(err, daq.ErrNoFolder):
		refuse(w, http.StatusConflict, err.Error())
	case errors.Is(err, daq.ErrStopped):
		refuse(w, http.StatusServiceUnavailable, err.Error())
	default:
		refuse(w, http.StatusInternalServerError, err.Error())
	}
}

func (s *Server) openAPI(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-cache")
	w.Write(openAPIDocument)
}

// readJSON reads the body of r into request; an empty body leaves request as it is.
// It answers what it refuses, and reports whether the caller may go on.
func readJSON(w http.ResponseWriter, r *http.Request, request any) bool {
	d := json.NewDecoder(r.Body)
	d.DisallowUnknownFields()
	err := d.Decode(request)
	if err == nil {
		if err = d.Decode(&struct{}{}); err == nil {
			err = errors.New("more than one JSON value")
		}
	}
	var tooLarge *http.MaxBytesError
	switch {
	case errors.Is(err, io.EOF):
		return true
	case errors.As(err, &tooLarge):
		refuse(w, http.StatusRequestEntityTooLarge, fmt.Sprintf("the request has more than %d bytes", tooLarge.Limit))
	default:
		refuse(w, http.StatusBadRequest, "the request is not the JSON that is expected here: "+err.Error())
	}
	return false
}

func writeJSON(w http.ResponseWriter, status int, answer any) {
	body, err := json.Marshal(answer)
	if err != nil {
		refuse(w, http.StatusInternalServerError, fmt.Sprintf("encode the answer: %v", err))
		return
	}
	w.Header().Set("Content-Type", "application/json")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	w.Write(append(body, '\n'))
}
