package upkeep

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"joulewell/daq/setup"
)

// ErrSpoiled is wrapped by the refusal of a book that cannot be read as one.
var ErrSpoiled = errors.New("spoiled calibration book")

// Entry is one calibration, as it stands in the book.
type Entry struct {
	Kind     Kind             `toml:"kind" json:"kind"`
	Date     time.Time        `toml:"date" json:"date"`                   // when it was done
	Due      time.Time        `toml:"due" json:"due"`                     // when it is to be done again
	By       string           `toml:"by" json:"by"`                       // who did it, as typed
	Note     string           `toml:"note" json:"note"`                   // as typed
	Method   string           `toml:"method" json:"method"`               // what was done and found, in words
	Warnings []string         `toml:"warnings" json:"warnings"`           // what must be known beside it
	AsFound  map[string]any   `toml:"as_found" json:"as_found,omitempty"` // what the bench went by until then, by the keys of a bench file
	AsLeft   map[string]any   `toml:"as_left" json:"as_left"`             // what it goes by from now on, likewise
	Points   []map[string]any `toml:"points" json:"points,omitempty"`     // what was read, units in the keys
}

// Book is a calibration book, in order of its entries.
type Book []Entry

// Parse reads the text of a book. Its errors wrap [ErrSpoiled] and name the entry.
func Parse(text string) (Book, error) {
	var file struct {
		Calibration Book `toml:"calibration"`
	}
	meta, err := toml.Decode(text, &file)
	if err != nil {
		if parse, ok := errors.AsType[toml.ParseError](err); ok {
			return nil, fmt.Errorf("%w: line %d: %s", ErrSpoiled, parse.Position.Line, parse.Message)
		}
		return nil, fmt.Errorf("%w: %w", ErrSpoiled, err)
	}
	if unknown := meta.Undecoded(); len(unknown) > 0 {
		return nil, fmt.Errorf("%w: %s: there is no such key", ErrSpoiled, unknown[0])
	}
	newest := map[Kind]time.Time{}
	for i := range file.Calibration {
		e := &file.Calibration[i]
		if err := e.check(); err != nil {
			return nil, fmt.Errorf("%w: entry %d: %w", ErrSpoiled, i+1, err)
		}
		if e.Date.Before(newest[e.Kind]) {
			return nil, fmt.Errorf("%w: entry %d: %s of %s stands after one of %s: entries are added in order of date, none is moved",
				ErrSpoiled, i+1, e.Kind, day(e.Date), day(newest[e.Kind]))
		}
		newest[e.Kind] = e.Date
	}
	return file.Calibration, nil
}

// check refuses an entry that cannot be.
func (e *Entry) check() error {
	if _, err := ParseKind(string(e.Kind)); err != nil {
		return err
	}
	if e.Date.IsZero() {
		return errors.New("date is missing")
	}
	if !e.Due.IsZero() && e.Due.Before(e.Date) {
		return fmt.Errorf("due on %s, before its date, %s", day(e.Due), day(e.Date))
	}
	if len(e.AsLeft) == 0 {
		return errors.New("as_left is missing: an entry says what the bench goes by")
	}
	for _, values := range []map[string]any{e.AsLeft, e.AsFound} {
		for key := range values {
			if !slices.Contains(keys[e.Kind], key) {
				return fmt.Errorf("%s: not a key that a calibration of the %s sets", key, e.Kind)
			}
		}
	}
	return nil
}

// Latest returns the newest entry of a kind, nil where there is none.
func (b Book) Latest(k Kind) *Entry {
	for i := len(b) - 1; i >= 0; i-- {
		if b[i].Kind == k {
			return &b[i]
		}
	}
	return nil
}

// Standing is how a kind of calibration stands at a moment.
type Standing struct {
	Kind  Kind
	Entry *Entry // that counts; nil where the bench file's own values do
	Stale string // why the newest entry does not count; empty where it does
}

// Apply lays the newest entry of each kind over the bench f, and says how each kind
// stands. An entry older than the part that it is about is left out. It refuses entries
// whose values no bench can have.
func (b Book) Apply(f setup.File) (setup.File, []Standing, error) {
	var standing []Standing
	for _, k := range Kinds() {
		s := Standing{Kind: k, Entry: b.Latest(k)}
		if s.Entry == nil {
			standing = append(standing, s)
			continue
		}
		if since := k.since(f.Since); s.Entry.Date.Before(since) {
			s.Stale = fmt.Sprintf("the %s was calibrated on %s, and is another since %s: calibrate it anew; until then the bench file counts",
				k.Part(), day(s.Entry.Date), day(since))
			s.Entry = nil
			standing = append(standing, s)
			continue
		}
		laid, err := f.Lay(s.Entry.AsLeft)
		if err != nil {
			return setup.File{}, nil, fmt.Errorf("%w: %s of %s: %w", ErrSpoiled, k, day(s.Entry.Date), err)
		}
		f = laid
		switch k {
		case Force:
			f.Bench.Calibration.Force.Date = s.Entry.Date
		case Distance:
			f.Bench.Calibration.Distance.Date = s.Entry.Date
		}
		standing = append(standing, s)
	}
	return f, standing, nil
}

// Part names in words what a kind is about.
func (k Kind) Part() string {
	switch k {
	case Force:
		return "load cell"
	case Distance:
		return "ranging sensor"
	case Timing:
		return "delay between force and distance"
	}
	return "spring"
}

// Overdue says since when a standing calibration should have been done anew; empty where
// it is not due.
func (s *Standing) Overdue(now time.Time) string {
	if s.Entry == nil || s.Entry.Due.IsZero() || now.Before(s.Entry.Due) {
		return ""
	}
	return fmt.Sprintf("the calibration of the %s was due on %s", s.Kind.Part(), day(s.Entry.Due))
}

func day(t time.Time) string { return strings.TrimSpace(t.UTC().Format("2006-01-02")) }
