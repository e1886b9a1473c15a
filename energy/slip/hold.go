package slip

import (
	"fmt"
	"math"
	"slices"

	"joulewell/energy/worksheet"
)

// Hold holds what a student wrote, by blank, against the sheet. Blanks may be left
// empty. It refuses, wrapping [FigureError], answers that cannot be read.
func Hold(s *worksheet.Sheet, texts map[worksheet.ID]string) (*Report, error) {
	w, err := s.Working()
	if err != nil {
		return nil, fmt.Errorf("hold figures against the sheet: %w", err)
	}
	h := holder{Working: w, written: map[worksheet.ID]worksheet.Figure{}, seen: map[worksheet.ID]Verdict{}}
	if h.answers, err = takeAll(s, texts); err != nil {
		return nil, err
	}
	for id, a := range h.answers {
		h.written[id] = w.Written(id, a.value, a.place)
	}
	var cases []riddle
	for _, r := range s.Results {
		if _, ok := h.answers[r.ID]; ok && h.verdict(r.ID) == Off {
			cases = append(cases, riddle{r.ID, h.explanations(r.ID)})
		}
	}
	found := settle(cases)
	report := &Report{}
	for _, r := range s.Results {
		report.Marks = append(report.Marks, h.mark(r.ID, found))
	}
	report.Findings = findings(report.Marks)
	return report, nil
}

// holder holds the answers of one student.
type holder struct {
	*worksheet.Working
	answers map[worksheet.ID]answer
	written map[worksheet.ID]worksheet.Figure // the answers as they may have been carried on
	seen    map[worksheet.ID]Verdict
}

// verdict holds an answer against what follows from the student's own figures and, where
// one of those is off, against what is right by the sheet: who comes back to the right
// way is right.
func (h *holder) verdict(id worksheet.ID) Verdict {
	if v, ok := h.seen[id]; ok {
		return v
	}
	a := h.answers[id]
	v := h.against(a, h.Work(id, h.written, nil))
	if len(h.wrong(id)) > 0 {
		if right := h.against(a, h.Work(id, nil, nil)); right != Off {
			v = right
		} else if v != Off {
			v = Follows
		}
	}
	h.seen[id] = v
	return v
}

// wrong lists the earlier figures off the right way that id is worked out from.
func (h *holder) wrong(id worksheet.ID) []worksheet.ID {
	return slices.DeleteFunc(h.From(id, h.written), func(on worksheet.ID) bool {
		v := h.verdict(on)
		return v != Off && v != Follows
	})
}

// against says whether honest rounding leads from f to the answer. A figure cut off
// after its last digit instead of rounded is let pass.
func (h *holder) against(a answer, f worksheet.Figure) Verdict {
	half := a.half()
	keep := math.Pow10(h.Keep(f)) / 2
	switch {
	case half <= 1.001*keep && (f.Meets(a.value, half) || f.Meets(a.value+math.Copysign(half, a.value), half)):
		return Right
	case f.Meets(a.value, min(half, keep)):
		return Right
	case f.Meets(a.value, half):
		return Coarse
	}
	return Off
}

// mark puts together what is said of a blank.
func (h *holder) mark(id worksheet.ID, found map[worksheet.ID][][]Kind) Mark {
	m := Mark{ID: id}
	if id == worksheet.Explanation {
		m.Verdict = Words
		return m
	}
	if _, ok := h.answers[id]; !ok {
		m.Verdict = Blank
		return m
	}
	m.Verdict = h.verdict(id)
	switch m.Verdict {
	case Follows:
		m.From = h.wrong(id)
	case Off:
		switch sets := found[id]; len(sets) {
		case 0:
		case 1:
			m.Verdict, m.Slips = Slipped, sets[0]
		default:
			m.Verdict, m.Perhaps = Undecided, sets
		}
	}
	return m
}

// findings collects the slips that are named, each once.
func findings(marks []Mark) []Finding {
	all := []Finding{}
	for _, k := range slips {
		f := Finding{Kind: k.kind, Hint: k.hint}
		for _, m := range marks {
			if slices.Contains(m.Slips, k.kind) {
				f.At = append(f.At, m.ID)
			}
		}
		if len(f.At) > 0 {
			all = append(all, f)
		}
	}
	return all
}
