// Package frame defines one instant of a bench: the raw reading, the calibrated
// quantities and the four energies, all at one time. It also holds the one list of
// those quantities ([Columns]) from which the run file's header, its metadata, the
// live messages and the API's description are made.
//
// A Frame is a value: it is copied, never shared for writing. Absent quantities are
// NaN here and empty or left out at the edges.
package frame

import (
	"joulewell/daq/wire"
	"joulewell/energy"
)

// Flags say what is odd about a frame.
type Flags uint16

// The flags, and the words that stand for them in files and messages (see
// [Flags.Words]).
const (
	// Gap: readings are missing before this one, derived values start afresh.
	Gap Flags = 1 << iota
	// Outlier: this reading's distance was set aside as impossible motion.
	Outlier
	// NoEcho: the ranging sensor heard nothing or reported no target.
	NoEcho
	// NoMotion: too few distances around this instant for a position.
	NoMotion
	// OutOfRange: an indication lies outside of what its sensor can show.
	OutOfRange
	// NewEpoch: the device was opened or restarted just before this reading.
	NewEpoch
)

// Frame is one instant of a bench.
type Frame struct {
	T       int64        // [ns] on the bench's time base; in a run file since the run's start (pre-trigger is negative)
	Epoch   uint32       // [1] how often the device was opened or restarted before this
	Reading wire.Reading // as received
	Flags   Flags

	Distance  energy.Estimate // [m] sensor to bob by this very reading, calibrated; absent when the line has none
	Force     energy.Estimate // [N] at the spring's top at T, tension positive
	Height    energy.Estimate // [m] of the bob's lowest point above the floor
	Extension energy.Estimate // [m] of the spring from its natural length, positive downward
	Velocity  energy.Estimate // [m/s] of the bob, positive upward

	Energies energy.Energies
}

// Seconds returns T in seconds.
func (f *Frame) Seconds() float64 { return float64(f.T) / 1e9 }
