package source

import (
	"context"
	"time"

	"joulewell/daq/wire"
)

// Kind says what an [Event] tells.
type Kind uint8

// The kinds of event.
const (
	// Opened: the device was opened, which counts as a reset of it. Name says which.
	Opened Kind = iota
	// Bytes: bytes arrived, in pieces of any size.
	Bytes
	// Timed: one reading whose time is known already (a recorded run).
	Timed
	// Lost: the device went away or cannot be opened; Err says why and what to do.
	// The source goes on trying. A source sends Lost once per change of reason.
	Lost
	// Ended: there will be no more (a recording's end).
	Ended
)

// Event is what a source tells the bench.
type Event struct {
	Kind    Kind
	At      time.Duration // [ns] host monotonic clock since the source's clock began, when the bytes arrived
	Name    string        // Opened: the device's path or the source's own name
	Bytes   []byte        // Bytes: borrowed: copy what must outlive the call of emit
	Reading wire.Reading  // Timed
	T       int64         // [ns] Timed: the reading's time
	Epoch   uint32        // [1] Timed: the recorded epoch
	Err     error         // Lost, Ended
}

// Source delivers a device's output.
type Source interface {
	// Run delivers events until ctx ends or the source is exhausted; then it closes
	// what it opened, sends nothing more and returns. Only Run's goroutine touches
	// the device. emit blocks while the reader is busy, and returns false once ctx
	// has ended. Bytes handed to emit may be reused by Run as soon as emit returns:
	// emit copies.
	Run(ctx context.Context, emit func(Event) bool)
	// Describe names the source for people: "serial port /dev/ttyUSB0", "virtual bench".
	Describe() string
	// Virtual reports that the readings are simulated, whatever the device says.
	Virtual() bool
}

// Clock is a host clock that never steps: time since it was made.
type Clock func() time.Duration

// NewClock returns a [Clock] on the host's monotonic clock.
func NewClock() Clock {
	start := time.Now()
	return func() time.Duration { return time.Since(start) }
}
