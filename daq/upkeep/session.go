package upkeep

import (
	"errors"
	"fmt"
	"math"

	"joulewell/calib"
	"joulewell/calib/dwell"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/wire"
	"joulewell/energy"
)

// ErrUnsteady is wrapped by the refusal to take a reading that does not rest.
var ErrUnsteady = errors.New("the reading is not steady")

// Session is a calibration in progress on a live bench: the person hangs a load or moves
// the bob, waits until the reading rests, and takes it. It is not safe for concurrent
// use, and knows no clock but the bench's time.
type Session struct {
	bench   *setup.File
	cabinet *Cabinet
	table   Table
	dwell   *dwell.Dwell
	column  wire.Column
	heard   bool  // a reading of the column has come
	begun   int64 // [ns] bench time of the first reading
	now     int64 // [ns] of the newest
	epoch   uint32
	air     float64         // [Cel] of the bench's thermometer; NaN = it has none
	wet     energy.Estimate // [1] relative humidity; none where no sensor tells

	found   *Finding // from the points so far
	refusal error    // why there is none
}

// NewSession begins a calibration of a kind on a bench.
func NewSession(k Kind, f *setup.File, c *Cabinet) (*Session, error) {
	if k == Timing {
		return nil, fmt.Errorf("the %s is calibrated from recorded swings, not by hand", k.Part())
	}
	s := &Session{bench: f, cabinet: c, table: Table{Kind: k}, air: math.NaN(), wet: energy.None()}
	s.dwell = dwell.New(dwell.Options{})
	return s, nil
}

// Kind returns what is being calibrated.
func (s *Session) Kind() Kind { return s.table.Kind }

// channels are the columns that a kind reads, with what their numbers are.
var channels = map[Kind][]struct {
	column wire.Column
	is     Indication
}{
	Force:    {{wire.LoadCounts, Counts}, {wire.LoadN, Newtons}},
	Distance: {{wire.EchoUs, Microsecs}, {wire.RangeMm, Millimetres}},
}

// Hear takes a frame of the bench.
func (s *Session) Hear(f *frame.Frame) {
	if s.heard && f.Epoch != s.epoch {
		s.dwell.Reset()
	}
	if f.Reading.Has(wire.AirCentiC) {
		if t := f.Reading.Values[wire.AirCentiC] / 100; t > -40 && t < 60 {
			s.air = t
		}
	}
	if f.Reading.Has(wire.AirHumidityPct) {
		s.wet = calib.Humidity(f.Reading.Values[wire.AirHumidityPct])
	}
	for _, c := range channels[s.table.Kind] {
		if !f.Reading.Has(c.column) || s.table.Indication != "" && s.table.Indication != c.is {
			continue
		}
		if !s.heard {
			s.heard, s.begun, s.column, s.table.Indication = true, f.T, c.column, c.is
			s.dwell = dwell.New(dwell.Options{Noise: s.noise(c.is), Unit: string(c.is)})
		}
		s.now, s.epoch = f.T, f.Epoch
		if v := f.Reading.Values[c.column]; v != 0 || s.table.Kind != Distance { // no echo is no place
			s.dwell.Add(seconds(f.T-s.begun), v)
		}
		return
	}
}

// noise is what one reading of the sensor is known to scatter by; 0 = not known.
func (s *Session) noise(is Indication) float64 {
	b := &s.bench.Bench.Calibration
	switch span := math.Abs(b.Force.Span.Value); is {
	case Counts:
		if span == 1 { // never calibrated
			return 0
		}
		return b.Force.Noise / span
	case Newtons:
		return b.Force.Noise
	case Microsecs:
		return b.Distance.Noise / 343 * 2e6
	}
	return b.Distance.Noise * 1e3
}

// Steadiness says whether the reading of the moment can be taken.
func (s *Session) Steadiness() (dwell.State, Indication) {
	if s.table.Kind == Spring {
		return dwell.State{Steady: true}, ""
	}
	state := s.dwell.State()
	if !s.heard {
		state.Reason = "no readings of this sensor arrive"
	}
	return state, s.table.Indication
}

// Take takes the reading of the moment, or for a spring what was typed, as the next
// point: only Load, Rule and Period of p count. It refuses a reading that is not steady
// and texts that cannot be read, and changes nothing then.
func (s *Session) Take(p Point) error {
	p = Point{Load: p.Load, Rule: p.Rule, Period: p.Period}
	if err := s.typed(&p); err != nil {
		return err
	}
	if s.table.Kind != Spring {
		state, _ := s.Steadiness()
		if !state.Steady {
			return fmt.Errorf("%w: %s", ErrUnsteady, state.Reason)
		}
		p.Reading = energy.Estimate{Value: state.Mean, U: state.U}
		p.Readings, p.Noise = state.Readings, state.Noise
		p.At = seconds(s.now - s.begun)
	} else {
		p.At = float64(len(s.table.Points))
	}
	s.table.Points = append(s.table.Points, p)
	s.dwell.Reset() // the next point is another rest
	s.find()
	return nil
}

// typed checks what was typed for a point.
func (s *Session) typed(p *Point) error {
	if s.table.Kind != Distance {
		if _, err := s.cabinet.load(p.Load); err != nil {
			return err
		}
	}
	switch s.table.Kind {
	case Force:
		p.Rule, p.Period = "", ""
	case Distance:
		p.Load, p.Period = "", ""
		if e, err := length(p.Rule, "height"); err != nil {
			return err
		} else if !e.Known() {
			return errors.New("height by the rule is missing: read it and type it in")
		}
	case Spring:
		if (p.Rule == "") == (p.Period == "") {
			return errors.New("type the length of the spring or the period of its swing, one of both")
		}
		if p.Rule != "" {
			_, err := length(p.Rule, "length")
			return err
		}
		_, err := period(p.Period)
		return err
	}
	return nil
}

// Undo takes the last point back; it refuses where there is none.
func (s *Session) Undo() error {
	n := len(s.table.Points)
	if n == 0 {
		return errors.New("there is no point to take back")
	}
	s.table.Points = s.table.Points[:n-1]
	s.find()
	return nil
}

// find works the points out anew.
func (s *Session) find() {
	s.table.Sound = s.sound()
	s.found, s.refusal = s.table.Find(s.bench, s.cabinet)
}

// Points returns the points so far. They must not be changed.
func (s *Session) Points() []Point { return s.table.Points }

// Found returns what the points so far come to, or why they come to nothing yet.
func (s *Session) Found() (*Finding, error) {
	if len(s.table.Points) == 0 {
		return nil, errors.New("no points yet")
	}
	return s.found, s.refusal
}

// Entry makes an entry of the points so far, or says why they come to nothing.
func (s *Session) Entry() (Entry, error) {
	found, err := s.Found()
	if err != nil {
		return Entry{}, err
	}
	return s.table.Entry(found, s.bench), nil
}

func seconds(t int64) float64 { return float64(t) * 1e-9 }
