package live

import (
	"encoding/json"
	"math"

	"joulewell/daq"
	"joulewell/daq/series"
	"joulewell/daq/wire"
)

// Number is a float64 that reaches JSON as null when it is not finite.
type Number float64

// MarshalJSON implements [json.Marshaler].
func (n Number) MarshalJSON() ([]byte, error) {
	if math.IsNaN(float64(n)) || math.IsInf(float64(n), 0) {
		return []byte("null"), nil
	}
	return json.Marshal(float64(n))
}

// Status is the state of the bench as outsiders meet it, on the websocket and in the
// API. webui/README.md holds the table of its fields.
type Status struct {
	Virtual    bool     `json:"virtual"`
	Link       daq.Link `json:"link"`
	LinkDetail string   `json:"link_detail"`
	Port       string   `json:"port"`
	Epoch      uint32   `json:"epoch"`      // [1]
	Rate       Number   `json:"rate_per_s"` // [1/s]
	Lines      Lines    `json:"lines"`
	Clock      Clock    `json:"clock"`
	Run        Run      `json:"run"`
	Fresh      bool     `json:"fresh"`
	Viewers    int      `json:"viewers"` // [1]

	Trials series.Brief `json:"trials"`
}

// Lines counts what came of the device's lines.
type Lines struct {
	Accepted  uint64            `json:"accepted"`  // [1]
	Misplaced uint64            `json:"misplaced"` // [1]
	Refused   map[string]uint64 `json:"refused"`   // by reason, those that occurred
}

// Clock is the rate of the device's clock against the host's.
type Clock struct {
	Known bool   `json:"known"`
	PPM   Number `json:"ppm"`   // [ppm] positive = fast
	U     Number `json:"u_ppm"` // [ppm] its standard uncertainty
}

// Run is the run being recorded, or the last one.
type Run struct {
	Active  bool   `json:"active"`
	Name    string `json:"name"`
	Rows    uint64 `json:"rows"`     // [1]
	Lost    uint64 `json:"lost"`     // [1]
	Length  Number `json:"length_s"` // [s]
	Trouble string `json:"trouble"`
}

// StatusOf translates a bench's status.
func StatusOf(st *daq.Status, viewers int, trials series.Brief) Status {
	refused := map[string]uint64{}
	for reason, n := range st.Lines.Refused {
		if n > 0 {
			refused[wire.Reason(reason).String()] = n
		}
	}
	clock := Clock{Known: st.ClockKnown, PPM: Number(math.NaN()), U: Number(math.NaN())}
	if st.ClockKnown {
		clock.PPM, clock.U = Number(st.ClockPPM), Number(st.ClockU)
	}
	return Status{
		Virtual:    st.Virtual,
		Link:       st.Link,
		LinkDetail: st.LinkDetail,
		Port:       st.Port,
		Epoch:      st.Epoch,
		Rate:       Number(st.Rate),
		Lines:      Lines{st.Lines.Accepted, st.Misplaced, refused},
		Clock:      clock,
		Run:        RunOf(st.Run),
		Fresh:      st.Fresh,
		Viewers:    viewers,
		Trials:     trials,
	}
}

// RunOf translates the state of a recording.
func RunOf(r daq.Recording) Run {
	return Run{r.Active, r.Name, r.Rows, r.Lost, Number(r.Length.Seconds()), r.Trouble}
}

// changed reports whether people should hear of the difference at once; what merely
// counts on is told once a second.
func (s *Status) changed(t *Status) bool {
	return s.Virtual != t.Virtual || s.Link != t.Link || s.LinkDetail != t.LinkDetail ||
		s.Port != t.Port || s.Epoch != t.Epoch || s.Fresh != t.Fresh ||
		s.Clock.Known != t.Clock.Known || s.Run.Active != t.Run.Active ||
		s.Run.Name != t.Run.Name || s.Run.Trouble != t.Run.Trouble || s.Trials != t.Trials
}
