package runfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"slices"
	"strings"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// context is what marks a JSON file as a description by CSV on the Web.
const context = "http://www.w3.org/ns/csvw"

// Meta is what is known of a run beside its rows: a table description by CSV on
// the Web, with properties of our own under one address that nobody else can own.
//
// Who starts a run fills in Title to UnknownColumns; [Create] sees to the table
// and the [Recorder] to all from Rows on.
type Meta struct {
	Context string  `json:"@context"`
	URL     string  `json:"url"` // of the CSV file, relative to the description
	Dialect Dialect `json:"dialect"`
	Schema  Schema  `json:"tableSchema"`

	Title   string    `json:"dc:title"`   // for people; the run's name when left empty
	Created time.Time `json:"dc:created"` // the instant of time zero

	Note           string           `json:"https://joulewell.example/ns#note"`              // as typed by whoever ran it
	Setup          setup.Bench      `json:"https://joulewell.example/ns#setup"`             // what hung where, and the calibration used
	Source         string           `json:"https://joulewell.example/ns#source"`            // where the readings came from
	Virtual        bool             `json:"https://joulewell.example/ns#virtual"`           // the readings are simulated
	Software       string           `json:"https://joulewell.example/ns#software"`          // name and version of the program
	Clock          *energy.Estimate `json:"https://joulewell.example/ns#device_clock_ppm"`  // [ppm] the device clock's rate against the host's, positive = fast; nil = not known
	UnknownColumns []string         `json:"https://joulewell.example/ns#unknown_columns"`   // the device's names for raw_other_1 to raw_other_4
	Rows           uint64           `json:"https://joulewell.example/ns#rows"`              // [1] in the file, header not counted
	Epochs         uint64           `json:"https://joulewell.example/ns#epochs"`            // [1] stretches of rows of the same epoch
	Length         float64          `json:"https://joulewell.example/ns#length_s"`          // [s] from the first row to the last
	Lost           uint64           `json:"https://joulewell.example/ns#lost_rows"`         // [1] rows that could not be kept
	Complete       bool             `json:"https://joulewell.example/ns#complete"`          // every row is here, and the file was closed in order
	Trouble        string           `json:"https://joulewell.example/ns#trouble,omitempty"` // what went wrong while it was written
}

// Dialect says how the CSV file is written.
type Dialect struct {
	Encoding        string   `json:"encoding"`
	Delimiter       string   `json:"delimiter"`
	LineTerminators []string `json:"lineTerminators"`
	Header          bool     `json:"header"`
	CommentPrefix   *string  `json:"commentPrefix"` // null: no line is a comment
}

// describe returns m as the description of the run called name, with the columns
// that this program writes.
func (m Meta) describe(name string) Meta {
	m.Context, m.Schema = context, currentSchema()
	m.Dialect = Dialect{Encoding: "utf-8", Delimiter: ",", LineTerminators: []string{"\n"}, Header: true}
	m.rename(name)
	m.Created = m.Created.UTC().Round(0) // without the monotonic reading, which no file can hold
	m.Note = strings.ToValidUTF8(m.Note, "\uFFFD")
	m.UnknownColumns = slices.Clone(m.UnknownColumns)
	if m.Title == "" {
		m.Title = name
	}
	return m
}

// rename makes m describe the file of the run called name.
func (m *Meta) rename(name string) {
	m.URL = (&url.URL{Path: name + csvExt}).String()
}

// complain adds one more line to the trouble.
func (m *Meta) complain(text string) {
	switch {
	case text == "" || strings.Contains(m.Trouble, text):
	case m.Trouble == "":
		m.Trouble = text
	default:
		m.Trouble += "; " + text
	}
}

// encode returns the file's text. It refuses numbers that JSON cannot hold.
func (m *Meta) encode() ([]byte, error) {
	text, err := json.MarshalIndent(m, "", "  ")
	if err != nil {
		return nil, fmt.Errorf("write the metadata of %s: %w: every number of the setup must be finite", m.URL, err)
	}
	return append(text, '\n'), nil
}

// decodeMeta reads a description. It ignores properties that it does not know.
func decodeMeta(text []byte) (*Meta, error) {
	var m Meta
	if err := json.Unmarshal(text, &m); err != nil {
		return nil, err
	}
	if m.Context != context {
		return nil, fmt.Errorf("@context = %q: must be %q", m.Context, context)
	}
	if len(m.Schema.Columns) == 0 {
		return nil, errors.New("tableSchema names no columns")
	}
	return &m, nil
}

// tally counts what the metadata say about the rows.
type tally struct {
	rows        uint64
	epochs      uint64
	epoch       uint32
	first, last int64 // [ns]
}

func (t *tally) add(at int64, epoch uint32) {
	if t.rows == 0 {
		t.first = at
	}
	if t.rows == 0 || epoch != t.epoch {
		t.epochs++
	}
	t.rows++
	t.epoch, t.last = epoch, at
}

func (t *tally) into(m *Meta) {
	m.Rows, m.Epochs = t.rows, t.epochs
	m.Length = (&frame.Frame{T: t.last - t.first}).Seconds()
}
