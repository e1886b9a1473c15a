package wire

// Outcome is what a line turned out to be.
type Outcome uint8

// The outcomes.
const (
	Refused Outcome = iota // counted by its [Reason]; nothing else came of it
	Data                   // a reading
	Fields                 // names of the columns, now in force
	Note                   // a line for people
)

// Reason says why a line was refused.
type Reason uint8

// The reasons. Each has a word, see [Reason.String].
const (
	NoReason         Reason = iota // nothing was refused yet
	EmptyLine                      // no bytes at all
	TooLong                        // more than MaxLine bytes
	NotASCII                       // a byte outside of space to tilde
	BadChecksum                    // checksum differs or is malformed
	NoChecksum                     // none, and the decoder requires one
	NoFields                       // a data line before the columns were named
	WrongColumnCount               // more or fewer values than columns
	NoStamp                        // seq or t_us left empty
	NotANumber                     // not a number of the grammar in README.md
	OutOfRange                     // beyond 1e15 either way, or beyond 32 bits in seq and t_us
	FieldsNone                     // a #fields line without names
	FieldsTooMany                  // more than MaxFields names
	FieldsBadName                  // a name that is empty, too long or has other characters than letters, digits and _
	FieldsTwice                    // the same name twice
	FieldsNoTime                   // no t_us
	ReasonCount
)

var reasonWords = [ReasonCount]string{
	"none", "empty", "too-long", "not-ascii", "checksum", "no-checksum", "no-fields",
	"column-count", "no-stamp", "not-a-number", "out-of-range",
	"fields-none", "fields-too-many", "fields-bad-name", "fields-twice", "fields-no-time",
}

// String returns the word for r: lower case and hyphens, fit for a metric's label.
func (r Reason) String() string { return reasonWords[r] }

// Counts tells what became of all lines so far. It is a value; copies are snapshots.
type Counts struct {
	Accepted   uint64              // [1] data lines that became readings
	Notes      uint64              // [1] lines for people
	FieldLines uint64              // [1] lines that named the columns
	Refused    [ReasonCount]uint64 // [1] refused lines, indexed by Reason
}

// RefusedTotal returns the number of refused lines [1].
func (c *Counts) RefusedTotal() uint64 {
	var n uint64
	for _, r := range c.Refused {
		n += r
	}
	return n
}

// Lines returns the number of all lines [1].
func (c *Counts) Lines() uint64 {
	return c.Accepted + c.Notes + c.FieldLines + c.RefusedTotal()
}
