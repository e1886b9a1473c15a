package runfile

import (
	"errors"
	"fmt"
	"os"
)

// MinRoom is the free space below which no run should begin [bytes]: about a
// quarter of an hour at 300 readings a second.
const MinRoom = 50 << 20

// ErrNoRoom is wrapped when there is less free space than asked for.
var ErrNoRoom = errors.New("too little free space")

// CheckRoom returns nil if at least need bytes are free for the runs in dir.
func CheckRoom(dir *os.Root, need uint64) error {
	free, err := Room(dir)
	if err != nil {
		return err
	}
	if free < need {
		return fmt.Errorf("%w in %s: %d MB are left: a run needs %d MB to begin", ErrNoRoom, dir.Name(), free>>20, need>>20)
	}
	return nil
}
