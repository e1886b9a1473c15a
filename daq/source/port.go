package source

import (
	"errors"
	"time"
)

// port is an open serial line. It belongs to one goroutine, which alone reads,
// writes and closes it: closing a port under a running Read is how bytes of other
// files get into the data.
type port interface {
	// Read returns what has arrived, waiting at most idleAfter; then it gives
	// errIdle. Any other error means that the device is gone.
	Read(buf []byte) (int, error)
	// Write sends a short command, waiting at most idleAfter; then it gives errIdle.
	Write(b []byte) (int, error)
	Close() error
}

// idleAfter bounds how long a mute or blocked device can hold up the end of Run.
const idleAfter = 50 * time.Millisecond

var errIdle = errors.New("nothing moved on the line")
