package slip

import "joulewell/energy/worksheet"

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
