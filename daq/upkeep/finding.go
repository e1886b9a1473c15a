package upkeep

import (
	"fmt"
	"math"
	"strconv"

	"joulewell/calib/doubt"
	"joulewell/daq/setup"
)

// Finding is what a calibration came to.
type Finding struct {
	Kind      Kind
	Summary   string         // a paragraph
	Figures   []Figure       // characteristics, most important first
	Residuals []Residual     // in the order of the points that were used
	Doubts    doubt.Notes    // what must be known beside it
	AsLeft    map[string]any // what the bench goes by from now on, by the keys of a bench file
}

// Figure is one number that was found.
type Figure struct {
	Name  string
	Value float64 // [Unit]
	U     float64 // [Unit] standard uncertainty; NaN = not stated
	Unit  string
	Share float64 // [1] of the largest load or range; NaN = no matter
}

// Residual is how far one point lies off the curve that was found.
type Residual struct {
	Point int     // [1] index among the points
	At    float64 // [AtUnit] load or height
	Off   float64 // [OffUnit] what the point says less what the curve says
}

// Find works out what points show of a bench as it stands now. Loads are taken from the
// cabinet.
func (t *Table) Find(f *setup.File, c *Cabinet) (*Finding, error) {
	var found *Finding
	var err error
	switch t.Kind {
	case Force:
		found, err = t.force(f, c)
	case Distance:
		found, err = t.distance(f)
	case Spring:
		found, err = t.spring(f, c)
	default:
		return nil, fmt.Errorf("the %s is not calibrated from points", t.Kind.Part())
	}
	if err != nil {
		return nil, err
	}
	found.Kind = t.Kind
	if _, err := f.Lay(found.AsLeft); err != nil {
		return nil, fmt.Errorf("what was found cannot be: %w", err)
	}
	return found, nil
}

// Entry makes an entry of a finding. The caller adds date, due date, by whom, and a note.
func (t *Table) Entry(found *Finding, f *setup.File) Entry {
	e := Entry{Kind: found.Kind, Method: found.Summary, AsLeft: found.AsLeft, AsFound: map[string]any{}}
	for key, value := range f.Pick(keys[found.Kind]...) {
		e.AsFound[key] = value
	}
	for _, d := range found.Doubts {
		e.Warnings = append(e.Warnings, d.Text)
	}
	for i := range t.Points {
		e.Points = append(e.Points, t.record(&t.Points[i]))
	}
	return e
}

// figure is one without a share.
func figure(name string, value, u float64, unit string) Figure {
	return Figure{Name: name, Value: value, U: u, Unit: unit, Share: math.NaN()}
}

// digits rounds a number for the book to what its uncertainty leaves of it, three digits
// below.
func digits(v, u float64) float64 {
	if !(u > 0) || v == 0 {
		return v
	}
	places := 3 - int(math.Floor(math.Log10(u)))
	if places < 0 {
		step := math.Pow10(-places)
		return math.Round(v/step) * step
	}
	// By way of the text, which ends where the digits do.
	short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', places, 64), 64)
	if err != nil {
		return v
	}
	return short
}
