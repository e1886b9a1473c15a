package slip

import (
	"fmt"
	"slices"

	"joulewell/energy/worksheet"
)

// Verdict is what is said of one blank.
type Verdict string

// Verdicts.
const (
	Right     Verdict = "right"
	Follows   Verdict = "follows"   // worked out rightly from an earlier figure that is off
	Coarse    Verdict = "coarse"    // right as far as it goes, with fewer digits than must be kept
	Slipped   Verdict = "slipped"   // by slips that are named
	Undecided Verdict = "undecided" // off, and several slips would explain it equally well
	Off       Verdict = "off"       // and no known slip explains it, or so many that any figure would be
	Blank     Verdict = "blank"     // not answered
	Words     Verdict = "words"     // for a person to read
)

// Meaning explains v in a sentence, on a sheet that lets anybody round to so many
// significant digits on the way.
func (v Verdict) Meaning(digits int) string {
	switch v {
	case Right:
		return fmt.Sprintf("honest rounding, to %d significant digits or more at each step, leads to it", digits)
	case Follows:
		return "worked out rightly, from an earlier figure that is not right"
	case Coarse:
		return fmt.Sprintf("right as far as it goes, but written with fewer digits than the %d to keep", digits)
	case Slipped:
		return "not right; the hints name a slip that leads to just this figure"
	case Undecided:
		return "not right; several slips would lead to it, which of them cannot be told"
	case Off:
		return "not right, and no known slip explains it"
	case Blank:
		return "no figure was handed in"
	case Words:
		return "for a person to read"
	}
	return ""
}

// Mark is what is said of one blank.
type Mark struct {
	ID      worksheet.ID   `json:"id"`
	Verdict Verdict        `json:"verdict"`
	From    []worksheet.ID `json:"from,omitempty"`    // earlier figures it follows from
	Slips   []Kind         `json:"slips,omitempty"`   // that are named for it
	Perhaps [][]Kind       `json:"perhaps,omitempty"` // of which one set explains it, where it is undecided
}

// Finding is a slip that is named.
type Finding struct {
	Kind Kind           `json:"kind"`
	Hint string         `json:"hint"` // where to look, to the student
	At   []worksheet.ID `json:"at"`   // blanks that show it
}

// Report is what is said of a sheet.
type Report struct {
	Marks    []Mark    `json:"marks"`    // in the order of the sheet
	Findings []Finding `json:"findings"` // each kind once, in the order of [Kinds]
}

// Verdicts returns those that were given, each once, in the order of [Right] to [Words].
func (r *Report) Verdicts() []Verdict {
	given := func(v Verdict) bool {
		return slices.ContainsFunc(r.Marks, func(m Mark) bool { return m.Verdict == v })
	}
	var all []Verdict
	for _, v := range []Verdict{Right, Follows, Coarse, Slipped, Undecided, Off, Blank, Words} {
		if given(v) {
			all = append(all, v)
		}
	}
	return all
}
