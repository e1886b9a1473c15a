package live

import (
	"encoding/json"
	"time"

	"joulewell/daq"
	"joulewell/energy"
)

// version is that of the messages; a reader must refuse another.
const version = 1

// hello is the first message to every viewer.
type hello struct {
	V         int              `json:"v"`
	Type      string           `json:"type"`
	Bench     string           `json:"bench"`
	Virtual   bool             `json:"virtual"`
	Source    string           `json:"source"`
	Session   string           `json:"session"`
	Lag       Number           `json:"lag_s"` // [s]
	Rate      any              `json:"rate"`  // messages per second at most, or "all"
	Channels  []channel        `json:"channels"`
	Apparatus energy.Apparatus `json:"apparatus"`
	Well      well             `json:"well"`

	Calibrations []Calibration `json:"calibrations"`
}

// Calibration is how one kind of calibration of the bench stands.
type Calibration struct {
	Kind    string     `json:"kind"`
	Date    *time.Time `json:"date"`    // when it was done, by the book or the bench file; null where neither says
	Caution string     `json:"caution"` // that it is overdue, or about a part since changed; may be empty
}

type channel struct {
	Name  string `json:"name"`
	Unit  string `json:"unit"`
	Title string `json:"title"`
}

// well is the potential energy of bob and spring at rest, over the bob's height.
type well struct {
	Height    []Number `json:"height_m"`    // [m]
	Potential []Number `json:"potential_J"` // [J]
}

type statusMessage struct {
	V    int    `json:"v"`
	Type string `json:"type"`
	Status
}

// hello greets a viewer. Sealed, it keeps the well to itself.
func (h *Hub) hello(s Subscription, st *daq.Status, sealed bool) ([]byte, error) {
	m := hello{
		V: version, Type: "hello",
		Bench: st.Bench, Virtual: st.Virtual, Source: st.Source,
		Session: h.options.Session, Lag: Number(st.Lag.Seconds()), Rate: "all",
		Apparatus: st.Setup.Apparatus,
		Well:      well{[]Number{}, []Number{}}, Calibrations: []Calibration{},
	}
	if h.options.Calibrations != nil {
		m.Calibrations = h.options.Calibrations()
	}
	if s.rate != EveryReading {
		m.Rate = s.rate
	}
	for _, c := range s.columns() {
		m.Channels = append(m.Channels, channel{c.Name, c.Unit, c.Title})
	}
	if h.options.Well != nil && !sealed {
		heights, potentials := h.options.Well()
		for i := range min(len(heights), len(potentials)) {
			m.Well.Height = append(m.Well.Height, Number(heights[i]))
			m.Well.Potential = append(m.Well.Potential, Number(potentials[i]))
		}
	}
	return json.Marshal(m)
}

func encodeStatus(s Status) ([]byte, error) {
	return json.Marshal(statusMessage{version, "status", s})
}
