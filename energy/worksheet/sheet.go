package worksheet

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"joulewell/energy/quantity"
)

// Sheet is what the student gets. Its readings are what is printed, in the units
// printed beside them: a sheet read back from its JSON form is worth as much as a new one.
type Sheet struct {
	Title    string   `json:"title"`
	Digits   int      `json:"significant_digits"` // [1] to which anybody may round on the way
	Readings []Item   `json:"readings"`
	Results  []Item   `json:"results"`
	Rules    []string `json:"rules"` // that hold for the whole sheet, a sentence each
}

// Item is a line of a sheet.
type Item struct {
	ID      ID     `json:"id"`
	Label   string `json:"label"`
	Unit    string `json:"unit"`              // of Printed, or to be answered in; others of its kind will do
	Printed string `json:"printed,omitempty"` // digits of a reading; empty = a blank to fill
}

// Significant digits that can be asked for.
const (
	fewest = 2
	usual  = 3
	most   = 6
)

// ErrSheet is wrapped by refusals of a sheet that is none.
var ErrSheet = errors.New("not a worksheet")

func rules(digits int) []string {
	or := "or as many as the readings have"
	if digits > usual {
		or = "even where a reading has fewer"
	}
	return []string{
		"heights count from the floor, extension from the spring's natural length",
		"a state without a speed is one of rest",
		fmt.Sprintf("keep %d significant digits or more on the way, %s; write a unit behind every figure", digits, or),
	}
}

// printed writes a reading down with the digits that its uncertainty deserves.
func (e entry) printed(q quantity.Quantity) Item {
	step := q.U * math.Sqrt(12) / math.Pow10(e.places) // of the last digit, for one read to it
	const spare = 1e-6
	decimals := max(0, -int(math.Floor(math.Log10(step)+spare)))
	return Item{e.id, e.label, e.unit, strconv.FormatFloat(scale(q.Value, -e.places), 'f', decimals, 64)}
}

// Asks reports whether id is one of the blanks of s.
func (s *Sheet) Asks(id ID) bool {
	return slices.ContainsFunc(s.Results, func(i Item) bool { return i.ID == id })
}

// Working returns s with its formulas. It refuses, wrapping [ErrSheet], what [New] would
// not have made.
func (s *Sheet) Working() (*Working, error) {
	if s.Digits < fewest || s.Digits > most {
		return nil, fmt.Errorf("%w: %d significant digits: %d to %d can be asked for", ErrSheet, s.Digits, fewest, most)
	}
	w := &Working{digits: digits(s.Digits), printed: map[ID]Figure{}, steps: map[ID]Expr{}}
	for _, r := range s.Readings {
		if !r.ID.isReading() {
			return nil, fmt.Errorf("%w: %q is no reading", ErrSheet, r.ID)
		}
		if w.Printed(r.ID) {
			return nil, fmt.Errorf("%w: %s is there twice", ErrSheet, r.ID)
		}
		v, place, err := Read(r.Printed+" "+r.Unit, r.ID)
		if err != nil {
			return nil, fmt.Errorf("%w: %s: %w", ErrSheet, r.ID, err)
		}
		w.printed[r.ID] = Figure{v, v, place}
	}
	w.plan()
	for _, r := range s.Results {
		if !r.ID.isResult() || (r.ID != Explanation && !w.can(r.ID)) {
			return nil, fmt.Errorf("%w: %q %w", ErrSheet, r.ID, ErrCannot)
		}
	}
	return w, nil
}

// Read reads a figure with its unit, as printed or as a student writes it, and returns
// its value [SI] and the power of ten of its last digit.
func Read(text string, id ID) (v float64, place int, err error) {
	q, err := quantity.Parse(text, id.Kind())
	if err != nil {
		return 0, 0, err
	}
	if q.How != quantity.LastDigit {
		return 0, 0, fmt.Errorf("read %q: write the figure and its unit, no uncertainty", strings.TrimSpace(text))
	}
	return q.Value, int(math.Round(math.Log10(q.U * math.Sqrt(12)))), nil
}
