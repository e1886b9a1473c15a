// Package doubt answers: what can be wrong with the readings that a calibration is made
// from?
//
// Two kinds of answer never mix. A refusal ([ErrFew] and the others) says that the
// readings do not give what was asked for; every one wraps one of the errors here. A
// [Note] says that the result stands and what to doubt about it: it must reach the
// person. The list of kinds is complete, so that a page can explain each.
package doubt

import (
	"errors"
	"fmt"
	"math"
)

// Refusals of readings.
var (
	ErrFew        = errors.New("too few readings")
	ErrNumber     = errors.New("not a number that can be")
	ErrUnit       = errors.New("implausible size, is the unit right?")
	ErrUnsteady   = errors.New("readings are not steady")
	ErrContradict = errors.New("readings contradict the arrangement")
)

// Kind is one reason to doubt a result.
type Kind string

// The kinds.
const (
	Few      Kind = "few"       // hardly more readings than numbers fitted to them
	NoRepeat Kind = "no-repeat" // no load was repeated: repeatability is not seen
	NoReturn Kind = "no-return" // never unloaded step by step: reversibility is not seen
	NoTare   Kind = "no-tare"   // the unloaded reading was not taken again at the end
	Order    Kind = "order"     // loads neither rose nor fell in order
	Set      Kind = "set"       // does not come back to where it was, unloaded
	Odd      Kind = "odd"       // one reading stands apart from the others
	Scatter  Kind = "scatter"   // readings scatter more than their uncertainties allow
	Bent     Kind = "bent"      // a straight line does not fit
	Narrow   Kind = "narrow"    // the readings cover a small part of the range
	Scale    Kind = "scale"     // the scale is far from what is stated
	Opening  Kind = "opening"   // readings with coils still closed were left out
	Length   Kind = "length"    // natural length does not go with the hanging lengths
	Disagree Kind = "disagree"  // two ways to the same quantity disagree
	Slow     Kind = "slow"      // the converter is too slow for what it is to show
	Friction Kind = "friction"  // friction may stand in the result
	Creep    Kind = "creep"     // goes on moving under a constant load
)

// Note is one doubt about a result.
type Note struct {
	Kind Kind   `json:"kind"`
	Text string `json:"text"` // one sentence: what was seen and what to do
}

// Notes collects doubts.
type Notes []Note

// Add appends a doubt.
func (n *Notes) Add(k Kind, format string, args ...any) {
	*n = append(*n, Note{k, fmt.Sprintf(format, args...)})
}

// Has reports whether a doubt of a kind is among them.
func (n Notes) Has(k Kind) bool {
	for _, d := range n {
		if d.Kind == k {
			return true
		}
	}
	return false
}

// Finite reports whether all are numbers.
func Finite(values ...float64) bool {
	for _, v := range values {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
	}
	return true
}

// Uncertain reports whether u can be a standard uncertainty.
func Uncertain(u float64) bool { return u >= 0 && !math.IsInf(u, 0) }
