package slip

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"joulewell/energy/quantity"
	"joulewell/energy/worksheet"
)

// Reasons for refusing what a student wrote.
var (
	ErrNotAsked = errors.New("the sheet does not ask for it")
	ErrNoFigure = errors.New("not a figure")
	ErrNoUnit   = errors.New("no unit")
	ErrUnit     = errors.New("not a unit for this")
)

// FigureError refuses one answer.
type FigureError struct {
	ID     worksheet.ID
	Text   string // as written
	Reason error  // one of the above
	Cause  error  // in more words; nil where Reason says it all
}

func (e *FigureError) Error() string {
	switch {
	case e.Cause == nil:
		return fmt.Sprintf("take %s: %s", e.ID, e.Reason)
	case errors.Is(e.Reason, ErrNoUnit) || errors.Is(e.Reason, ErrUnit): // the cause says so too
		return fmt.Sprintf("take %s: %s", e.ID, e.Cause)
	}
	return fmt.Sprintf("take %s: %s: %s", e.ID, e.Reason, e.Cause)
}

func (e *FigureError) Unwrap() error { return e.Reason }

// asked tells what a sheet asks for.
func asked(s *worksheet.Sheet) error {
	var ids []string
	for _, r := range s.Results {
		ids = append(ids, string(r.ID))
	}
	return fmt.Errorf("it asks for %s", strings.Join(ids, ", "))
}

// answer is a figure as the student wrote it.
type answer struct {
	value float64 // [SI]
	place int     // power of ten of its last digit
}

// half is half a unit of the last digit.
func (a answer) half() float64 { return math.Pow10(a.place) / 2 }

// take reads what a student wrote for a result.
func take(id worksheet.ID, text string) (answer, error) {
	v, place, err := worksheet.Read(text, id)
	bare := id.Kind() == quantity.Ratio && err == nil && !strings.HasSuffix(strings.TrimSpace(text), "%")
	switch {
	case bare:
		return answer{}, &FigureError{id, text, ErrNoUnit, errors.New("write %")}
	case err == nil && (math.Abs(v) > hugest || place < places[0] || place > places[1]):
		return answer{}, &FigureError{id, text, ErrNoFigure, errors.New("no bench leads to so large a number, or to so fine a one")}
	case err == nil:
		return answer{v, place}, nil
	}
	reason := ErrNoFigure
	if _, _, with := worksheet.Read(text+" "+cmp.Or(id.Kind().Unit(), "%"), id); with == nil {
		reason = ErrNoUnit
	} else if number := strings.TrimLeft(text, " +-−.,"); number != "" && number[0] >= '0' && number[0] <= '9' {
		reason = ErrUnit
	}
	return answer{}, &FigureError{id, text, reason, err}
}

// hugest [SI] is more than any slip makes of a bench in a room; last digits lie between
// the powers of ten of places.
const hugest = 1e15

var places = [2]int{-30, 15}

// takeAll reads every answer; blanks left empty are left out. It refuses all that is
// wrong at once.
func takeAll(s *worksheet.Sheet, texts map[worksheet.ID]string) (map[worksheet.ID]answer, error) {
	answers := map[worksheet.ID]answer{}
	var refused []error
	for _, r := range s.Results {
		text := texts[r.ID]
		if r.ID == worksheet.Explanation || strings.TrimSpace(text) == "" {
			continue
		}
		a, err := take(r.ID, text)
		if err != nil {
			refused = append(refused, err)
			continue
		}
		answers[r.ID] = a
	}
	for _, id := range slices.Sorted(maps.Keys(texts)) {
		if !s.Asks(id) {
			refused = append(refused, &FigureError{id, texts[id], ErrNotAsked, asked(s)})
		}
	}
	return answers, errors.Join(refused...)
}
