package webui

import (
	"cmp"
	"errors"
	"net/http"
	"time"
	"unicode/utf8"

	"joulewell/calib"
	"joulewell/daq"
	"joulewell/daq/upkeep"
	"joulewell/webui/live"
)

// standing is how one kind of calibration stands.
type standing struct {
	Kind     upkeep.Kind   `json:"kind"`
	Entry    *upkeep.Entry `json:"entry"`   // that counts; null where the bench file's own values do
	Stale    string        `json:"stale"`   // why the newest entry does not count; may be empty
	Overdue  string        `json:"overdue"` // since when it should have been done anew; may be empty
	Date     *time.Time    `json:"date"`    // of the calibration that counts; null where none is stated
	AgeHours *float64      `json:"age_h"`   // [h] since then
}

type sessionPoint struct {
	T        live.Number `json:"t_s"` // [s] since the session's first reading
	Load     string      `json:"load"`
	Rule     string      `json:"rule"`
	Period   string      `json:"period"`
	Reading  live.Number `json:"reading"` // [indication] mean of the rest
	U        live.Number `json:"u"`       // [indication] standard uncertainty of that
	Readings int         `json:"readings"`
}

type steadiness struct {
	Steady   bool        `json:"steady"`
	Reason   string      `json:"reason"` // why not; empty when steady
	Readings int         `json:"readings"`
	Mean     live.Number `json:"mean"`  // [indication]
	U        live.Number `json:"u"`     // [indication]
	Noise    live.Number `json:"noise"` // [indication] standard deviation of one reading
	Drift    live.Number `json:"drift"` // [indication] over the dwell
	Age      live.Number `json:"age_s"` // [s]
}

type findingFigure struct {
	Name  string      `json:"name"`
	Value live.Number `json:"value"` // [unit]
	U     live.Number `json:"u"`     // [unit] standard uncertainty
	Unit  string      `json:"unit"`
	Share live.Number `json:"share"` // [1] of the largest load
}

type findingResidual struct {
	Point int         `json:"point"`
	At    live.Number `json:"at"`  // [N] load, or [m] height
	Off   live.Number `json:"off"` // [N], or [m]
}

type finding struct {
	Summary   string            `json:"summary"`
	Figures   []findingFigure   `json:"figures"`
	Residuals []findingResidual `json:"residuals"`
	Doubts    []string          `json:"doubts"`
}

// sessionAnswer is a calibration in progress.
type sessionAnswer struct {
	Kind       upkeep.Kind       `json:"kind"`
	Indication upkeep.Indication `json:"indication"`
	Steadiness steadiness        `json:"steadiness"`
	Points     []sessionPoint    `json:"points"`
	Finding    *finding          `json:"finding"` // null while the points come to nothing
	NotYet     string            `json:"not_yet"` // why they do; may be empty
}

// upkeepAnswer is the body of GET /api/upkeep.
type upkeepAnswer struct {
	Kept     bool           `json:"kept"`       // there is a book that results go into
	Hands    bool           `json:"technician"` // a simulated bench can be told what to hang
	Standing []standing     `json:"standing"`
	Session  *sessionAnswer `json:"session"` // null when no calibration is in progress
	Watched  []watched      `json:"watched"` // sensors that the watch of the idle bench has seen
}

// withDesk refuses where there is no desk.
func (s *Server) withDesk(h func(*upkeep.Desk, http.ResponseWriter, *http.Request)) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		if s.options.Upkeep == nil {
			refuse(w, http.StatusNotFound, "calibrations are not kept here: a recorded run is played back")
			return
		}
		h(s.options.Upkeep, w, r)
	}
}

func (s *Server) upkeep(d *upkeep.Desk, w http.ResponseWriter, _ *http.Request) {
	writeJSON(w, http.StatusOK, upkeepOf(d))
}

// upkeepOf tells all about calibrations.
func upkeepOf(d *upkeep.Desk) upkeepAnswer {
	answer := upkeepAnswer{Kept: d.File().Calibration != "", Hands: d.Employs(), Standing: []standing{}, Watched: watchedOf(d)}
	now, own := d.Now(), d.File().Bench.Calibration
	for _, s := range d.Standing() {
		out := standing{Kind: s.Kind, Entry: s.Entry, Stale: s.Stale, Overdue: s.Overdue(now)}
		if out.Date = dateOf(&s, &own); out.Date != nil {
			age := now.Sub(*out.Date).Hours()
			out.AgeHours = &age
		}
		answer.Standing = append(answer.Standing, out)
	}
	d.With(func(s *upkeep.Session) error { // there may be none
		answer.Session = sessionOf(s)
		return nil
	})
	return answer
}

// dateOf returns when the calibration that counts was done: what the bench goes by has a
// date of its own where no book does, in the bench file and in a recorded run. It is nil
// where none is stated.
func dateOf(s *upkeep.Standing, own *calib.Calibration) *time.Time {
	date := time.Time{}
	switch {
	case s.Entry != nil:
		date = s.Entry.Date
	case s.Kind == upkeep.Force:
		date = own.Force.Date
	case s.Kind == upkeep.Distance:
		date = own.Distance.Date
	}
	if date.IsZero() {
		return nil
	}
	return &date
}

// calibrations tells viewers how the calibrations stand.
func (s *Server) calibrations() []live.Calibration {
	own := s.options.Bench.Setup().Calibration
	standing := []upkeep.Standing{{Kind: upkeep.Force}, {Kind: upkeep.Distance}}
	now := time.Now
	if d := s.options.Upkeep; d != nil {
		standing, now = d.Standing(), d.Now
	}
	list := []live.Calibration{}
	for _, one := range standing {
		list = append(list, live.Calibration{Kind: string(one.Kind), Date: dateOf(&one, &own), Caution: cmp.Or(one.Stale, one.Overdue(now()))})
	}
	return list
}

func sessionOf(s *upkeep.Session) *sessionAnswer {
	state, indication := s.Steadiness()
	n := func(v float64) live.Number { return live.Number(v) }
	out := &sessionAnswer{
		Kind: s.Kind(), Indication: indication, Points: []sessionPoint{},
		Steadiness: steadiness{state.Steady, state.Reason, state.Readings, n(state.Mean), n(state.U), n(state.Noise), n(state.Drift), n(state.Age)},
	}
	for _, p := range s.Points() {
		out.Points = append(out.Points, sessionPoint{n(p.At), p.Load, p.Rule, p.Period, n(p.Reading.Value), n(p.Reading.U), p.Readings})
	}
	found, err := s.Found()
	if err != nil {
		out.NotYet = sentence(err.Error())
		return out
	}
	f := &finding{Summary: found.Summary, Figures: []findingFigure{}, Residuals: []findingResidual{}, Doubts: []string{}}
	for _, q := range found.Figures {
		f.Figures = append(f.Figures, findingFigure{q.Name, n(q.Value), n(q.U), q.Unit, n(q.Share)})
	}
	for _, r := range found.Residuals {
		f.Residuals = append(f.Residuals, findingResidual{r.Point, n(r.At), n(r.Off)})
	}
	for _, d := range found.Doubts {
		f.Doubts = append(f.Doubts, d.Text)
	}
	out.Finding = f
	return out
}

func (s *Server) upkeepBegin(d *upkeep.Desk, w http.ResponseWriter, r *http.Request) {
	var request struct {
		Kind string `json:"kind"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	kind, err := upkeep.ParseKind(request.Kind)
	if err != nil {
		refuse(w, http.StatusBadRequest, err.Error())
		return
	}
	answerUpkeep(w, http.StatusCreated, d, d.Begin(kind))
}

func (s *Server) upkeepTake(d *upkeep.Desk, w http.ResponseWriter, r *http.Request) {
	var request struct {
		Load   string `json:"load"`
		Rule   string `json:"rule"`
		Period string `json:"period"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	answerUpkeep(w, http.StatusOK, d, d.With(func(x *upkeep.Session) error {
		return x.Take(upkeep.Point{Load: request.Load, Rule: request.Rule, Period: request.Period})
	}))
}

// upkeepArrange lets a simulated bench hang a load or move its bob.
func (s *Server) upkeepArrange(d *upkeep.Desk, w http.ResponseWriter, r *http.Request) {
	var request struct {
		Load string `json:"load"`
		Rule string `json:"rule"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	answerUpkeep(w, http.StatusOK, d, d.Arrange(upkeep.Point{Load: request.Load, Rule: request.Rule}))
}

func (s *Server) upkeepUndo(d *upkeep.Desk, w http.ResponseWriter, r *http.Request) {
	var nothing struct{}
	if !readJSON(w, r, &nothing) {
		return
	}
	answerUpkeep(w, http.StatusOK, d, d.With((*upkeep.Session).Undo))
}

func (s *Server) upkeepAbandon(d *upkeep.Desk, w http.ResponseWriter, r *http.Request) {
	var nothing struct{}
	if !readJSON(w, r, &nothing) {
		return
	}
	answerUpkeep(w, http.StatusOK, d, d.Abandon())
}

// upkeepFinish writes what was found into the book and makes the bench go by it.
func (s *Server) upkeepFinish(d *upkeep.Desk, w http.ResponseWriter, r *http.Request) {
	var request struct {
		By   string `json:"by"`
		Note string `json:"note"`
		Due  string `json:"due"` // YYYY-MM-DD
	}
	if !readJSON(w, r, &request) {
		return
	}
	signing := upkeep.Signing{By: request.By, Note: request.Note}
	if n := utf8.RuneCountInString(request.By + request.Note); n > maxNote {
		refuse(w, http.StatusBadRequest, "name and note are too long to be kept")
		return
	}
	if request.Due != "" {
		due, err := time.Parse(time.DateOnly, request.Due)
		if err != nil {
			refuse(w, http.StatusBadRequest, "due "+request.Due+": a day is written as in 2027-05-31")
			return
		}
		signing.Due = due
	}
	if s.options.Bench.Status().Run.Active {
		refuse(w, http.StatusConflict, daq.ErrRecording.Error())
		return
	}
	file, err := d.Finish(signing)
	if err == nil {
		if err = s.options.Bench.Adopt(&file.Bench); err != nil {
			err = errors.Join(errors.New("the result is kept and counts from the next start of the daemon"), err)
		}
	}
	answerUpkeep(w, http.StatusOK, d, err)
}

// answerUpkeep answers a command with how things stand then.
func answerUpkeep(w http.ResponseWriter, status int, d *upkeep.Desk, err error) {
	switch {
	case err == nil:
		writeJSON(w, status, upkeepOf(d))
	case errors.Is(err, upkeep.ErrSpoiled):
		refuse(w, http.StatusInternalServerError, err.Error())
	case errors.Is(err, upkeep.ErrBusy), errors.Is(err, upkeep.ErrNothing), errors.Is(err, upkeep.ErrNoBook), errors.Is(err, upkeep.ErrNoTechnician), errors.Is(err, upkeep.ErrUnsteady):
		refuse(w, http.StatusConflict, err.Error())
	default:
		refuse(w, http.StatusUnprocessableEntity, err.Error())
	}
}
