package doctor

import "golang.org/x/sys/unix"

// unsynced reports what the kernel was told of its clock: see adjtimex(2).
func unsynced() bool {
	var t unix.Timex
	state, err := unix.Adjtimex(&t)
	return err == nil && (state == unix.TIME_ERROR || t.Status&unix.STA_UNSYNC != 0)
}
