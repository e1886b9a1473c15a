package trials

import "fmt"

// Fault is what can be wrong with a trial, in a word that files and pages carry.
type Fault string

// The faults.
const (
	Floor      Fault = "floor"        // the bob touched the floor
	Sway       Fault = "sway"         // the bob swung sideways
	LostEchoes Fault = "lost-echoes"  // the ranger was deaf for many readings, or at a turning point
	Pushed     Fault = "pushed"       // the bob was not at rest when it was let go
	HeldAgain  Fault = "held-again"   // a hand was at work while it should have swung
	TooShort   Fault = "too-short"    // it swung too few times
	OutOfRange Fault = "out-of-range" // the bob left what the ranger can see
	Unread     Fault = "unreadable"   // nothing could be worked out from the rows
)

// Finding is one thing that is wrong with a trial, or that must be known about it.
type Finding struct {
	Fault    Fault  `json:"fault"`
	Sentence string `json:"sentence"`
	Voids    bool   `json:"voids"` // the trial does not count because of it
}

func finding(f Fault, voids bool, format string, values ...any) []Finding {
	return []Finding{{f, fmt.Sprintf(format, values...), voids}}
}

// counts reports whether nothing found voids a trial.
func counts(all []Finding) bool {
	for _, f := range all {
		if f.Voids {
			return false
		}
	}
	return true
}
