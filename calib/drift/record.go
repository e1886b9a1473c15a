package drift

import (
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"

	"joulewell/energy"
)

// Unit is that of a book's values: one book holds one kind of indication.
type Unit string

// The units, as they end the names of the columns.
const (
	Newtons Unit = "N"
	Metres  Unit = "m"
	Counts  Unit = "counts"
)

func (u Unit) check() error {
	if u != Newtons && u != Metres && u != Counts {
		return fmt.Errorf("unit %q: must be %q, %q or %q", string(u), Newtons, Metres, Counts)
	}
	return nil
}

// What says what was done for a record.
type What string

// What is done.
const (
	Mass   What = "mass"   // a check mass hangs on the cell
	Zero   What = "zero"   // nothing but its own fittings hangs on the cell
	Height What = "height" // the bob rests at a height measured with a rule
)

// Record is one check of a sensor against a standard. The unit is that of its book.
type Record struct {
	When       time.Time       // kept in UTC
	What       What            // must be one of the above
	Standard   string          // which one, such as the mark on the mass; may be empty
	Reference  energy.Estimate // [book's unit] value of the standard
	Indication energy.Estimate // [book's unit] mean of the dwell; U is that of the mean
	Readings   int             // [1] in the dwell
	Air        float64         // [Cel] temperature; NaN = not logged
	Note       string          // of the observer, one line
}

// Deviation returns indication less reference with the uncertainties of both.
func (r *Record) Deviation() energy.Estimate {
	return energy.Estimate{
		Value: r.Indication.Value - r.Reference.Value,
		U:     math.Hypot(r.Indication.U, r.Reference.U),
	}
}

// fresh is the part of the deviation's uncertainty that is new with each record. A mass
// is off by the same amount every time, which moves all its records alike and leaves
// their drift as it is; a rule is read anew.
func (r *Record) fresh() float64 {
	if r.What == Height {
		return r.Deviation().U
	}
	return r.Indication.U
}

// Check returns nil, or says what is wrong with a record.
func (r *Record) Check() error {
	switch {
	case r.When.IsZero():
		return fmt.Errorf("record has no time: must say when")
	case r.What != Mass && r.What != Zero && r.What != Height:
		return fmt.Errorf("what = %q: must be %q, %q or %q", string(r.What), Mass, Zero, Height)
	case r.Readings < 1:
		return fmt.Errorf("readings = %d: must be at least 1", r.Readings)
	case math.IsInf(r.Air, 0):
		return fmt.Errorf("air temperature = %g Cel: must be finite, or absent", r.Air)
	}
	for _, text := range []string{r.Standard, r.Note} {
		if strings.ContainsFunc(text, unicode.IsControl) {
			return fmt.Errorf("text %q: must be one line without control characters", text)
		}
	}
	for _, of := range []struct {
		name string
		e    energy.Estimate
	}{{"reference", r.Reference}, {"indication", r.Indication}} {
		if math.IsNaN(of.e.Value) || math.IsInf(of.e.Value, 0) {
			return fmt.Errorf("%s = %g: must be finite", of.name, of.e.Value)
		}
		if !(of.e.U >= 0) || math.IsInf(of.e.U, 0) {
			return fmt.Errorf("uncertainty of the %s = %g: must be zero or positive", of.name, of.e.U)
		}
	}
	return nil
}
