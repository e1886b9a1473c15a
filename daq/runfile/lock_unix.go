//go:build linux || darwin

package runfile

import (
	"errors"
	"fmt"
	"os"

	"golang.org/x/sys/unix"
)

// lock takes the file for this program until it is closed, or says errBusy.
func lock(file *os.File) error {
	err := onDescriptor(file, func(fd int) error { return unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB) })
	if errors.Is(err, unix.EWOULDBLOCK) {
		return errBusy
	}
	return err
}

// Room returns how much can still be written to the disk that holds dir [bytes].
func Room(dir *os.Root) (uint64, error) {
	self, err := dir.Open(".")
	if err != nil {
		return 0, err
	}
	defer self.Close()
	var s unix.Statfs_t
	if err := onDescriptor(self, func(fd int) error { return unix.Fstatfs(fd, &s) }); err != nil {
		return 0, fmt.Errorf("ask for the free space of %s: %w", dir.Name(), err)
	}
	return s.Bavail * uint64(s.Bsize), nil
}

func onDescriptor(file *os.File, do func(fd int) error) error {
	conn, err := file.SyscallConn()
	if err != nil {
		return err
	}
	var result error
	if err := conn.Control(func(fd uintptr) { result = do(int(fd)) }); err != nil {
		return err
	}
	return result
}
