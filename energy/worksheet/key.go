package worksheet

import (
	"fmt"
	"math"
	"strconv"

	"joulewell/energy/quantity"
)

// Key is what the instructor keeps.
type Key struct {
	Title   string    `json:"title"`
	Items   []KeyItem `json:"items"`
	Verdict string    `json:"verdict,omitempty"` // what the readings can tell of a loss, with their uncertainty
	Notes   []string  `json:"notes,omitempty"`
}

// KeyItem is the right answer to one blank.
type KeyItem struct {
	ID      ID     `json:"id"`
	Label   string `json:"label"`
	Unit    string `json:"unit"`    // of Printed
	Printed string `json:"printed"` // the right figure, to the digits that must be kept; empty where words are asked for
	Formula string `json:"formula"` // by which it is worked out
	Value   *Right `json:"value,omitempty"`
}

// Right is the right figure and what honest rounding makes of it, in the SI unit.
type Right struct {
	Exact float64 `json:"exact_si"` // [SI] worked out from what is printed without rounding
	Low   float64 `json:"low_si"`   // [SI] least that honest rounding can lead to
	High  float64 `json:"high_si"`  // [SI] most
	Place int     `json:"place"`    // power of ten of the last digit that must be kept
}

// Key works out the right answers from what is printed on s.
func (s *Sheet) Key() (*Key, error) {
	w, err := s.Working()
	if err != nil {
		return nil, err
	}
	k := &Key{Title: s.Title}
	for _, r := range s.Results {
		item := KeyItem{ID: r.ID, Label: r.Label, Unit: r.Unit}
		if e, ok := w.Step(r.ID); ok {
			f := w.Work(r.ID, nil, nil)
			v := w.exact(e)
			if !w.sure(r.ID) {
				return nil, fmt.Errorf("work out %s: what it is divided by may be zero within rounding: leave it off the sheet", r.ID)
			}
			item.Formula = w.formula(s, r.ID, map[ID]bool{})
			item.Printed = inUnit(v, w.Keep(f), r.ID.find())
			item.Value = &Right{v, f.Low, f.High, w.Keep(f)}
		}
		k.Items = append(k.Items, item)
	}
	k.Notes = append(w.drowned(s), w.closed()...)
	return k, nil
}

// formula writes how id is worked out, and behind it how what stands nowhere on s is.
func (w *Working) formula(s *Sheet, id ID, written map[ID]bool) string {
	written[id] = true
	e := w.steps[id]
	text := id.find().symbol + " = " + e.String()
	for v := range e.Values() {
		if _, worked := w.steps[v]; worked && !s.Asks(v) && !written[v] {
			text += "; " + w.formula(s, v, written)
		}
	}
	return text
}

// sure reports whether a result comes out whatever rounding on the way does: nothing is
// divided by what may be zero.
func (w *Working) sure(id ID) bool {
	e, ok := w.Step(id)
	if !ok {
		return true // words
	}
	v := w.exact(e)
	return !math.IsNaN(w.Work(id, nil, nil).Low) && !math.IsNaN(v) && !math.IsInf(v, 0)
}

// Drowned reports whether honest rounding on the way can change what was lost by more than
// half of it, where s asks for that.
func (w *Working) Drowned(s *Sheet) bool {
	if !s.Asks(Lost) {
		return false
	}
	f := w.Work(Lost, nil, nil)
	return f.High-f.Low > math.Abs(w.exact(Val(Lost)))/2
}

// drowned warns where rounding on the way can hide what was lost.
func (w *Working) drowned(s *Sheet) []string {
	if w.Drowned(s) && s.Digits < most {
		f := w.Work(Lost, nil, nil)
		wide := f.High - f.Low
		return []string{fmt.Sprintf("rounded to %d digits on the way, the energy lost may come out anywhere from %s to %s: ask for more digits",
			s.Digits, quantity.Energy.Text(f.Low, wide/10), quantity.Energy.Text(f.High, wide/10))}
	}
	return nil
}

// inUnit writes v in the unit of e, with its last digit at 10^place.
func inUnit(v float64, place int, e entry) string {
	if place == exact {
		return strconv.FormatFloat(scale(v, -e.places), 'g', -1, 64)
	}
	return quantity.Round(scale(v, -e.places), e.places-place)
}

// exact works e out without rounding.
func (w *Working) exact(e Expr) float64 {
	switch e.Op {
	case Number:
		return e.Num
	case Value:
		if step, ok := w.steps[e.ID]; ok {
			return w.exact(step)
		}
		return w.reads(e.ID)
	case Quotient:
		return w.exact(e.Part[0]) / w.exact(e.Part[1])
	}
	v := w.exact(e.Part[0])
	for _, p := range e.Part[1:] {
		if e.Op == Sum {
			v += w.exact(p)
		} else {
			v *= w.exact(p)
		}
	}
	return v
}

// reads returns what is printed for a reading.
func (w *Working) reads(id ID) float64 { return w.printed[id].Low }

// closed warns where the formulas of the sheet are those of an open spring and the
// spring is not: held closed, elastic energy is less by w²/(24 k) and gravitational energy
// more by w²/(12 k), with w the spring's weight, than the constants the books leave out
// make it (energy/spring.go).
func (w *Working) closed() []string {
	var notes []string
	for _, s := range []State{Start, End} {
		if !w.can(SpringMass, Gravity, Rate, s.Of("extension")) {
			continue
		}
		weight, rate := w.reads(SpringMass)*w.reads(Gravity), w.reads(Rate)
		const nearly = 0.8 // of the extension at which the last coil opens: below, the rest matters
		if open := weight / (2 * rate); w.exact(Val(s.Of("extension"))) < nearly*open {
			off := weight * weight / (12 * rate)
			notes = append(notes, fmt.Sprintf("at the %s some coils are closed: the sheet's formulas, made for open coils, are off by up to %s there",
				s, quantity.Energy.Text(off, off/100)))
		}
	}
	return notes
}
