package source

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"go.bug.st/serial"
	"golang.org/x/sys/unix"
)

// tty is a port on Linux. Bytes go through a file of our own because the library's
// read path fails where a daemon with many connections gets to: it panics for
// descriptors above 1023, its descriptors pass to child processes, and a blocked
// Write cannot be ended. So the library sets up the line and is closed again; the
// settings stay with the line for as long as our file is open.
type tty struct{ f *os.File }

// openPort opens the device at path, which may be a link, takes it for this program
// alone and sets it to baud bit/s, 8N1, raw. node is the device's real path.
func openPort(path string, baud int, proc string) (p port, node string, err error) {
	node, err = filepath.EvalSymlinks(path)
	if err != nil {
		return nil, "", refusal(path, err, proc)
	}
	fi, err := os.Stat(node)
	if err != nil {
		return nil, "", refusal(path, err, proc)
	}
	if fi.Mode()&os.ModeCharDevice == 0 {
		return nil, "", notSerial(path, nil)
	}
	f, err := os.OpenFile(node, os.O_RDWR|unix.O_NONBLOCK|unix.O_NOCTTY, 0)
	if err != nil {
		return nil, "", refusal(node, err, proc)
	}
	t := &tty{f}
	if err := t.setUp(node, baud, proc); err != nil {
		f.Close()
		return nil, "", err
	}
	return t, node, nil
}

// setUp takes the lock before it changes any setting, so that a second program never
// disturbs the first. The lock binds root too, which TIOCEXCL does not.
func (t *tty) setUp(node string, baud int, proc string) error {
	if err := t.control(func(fd int) error { return unix.Flock(fd, unix.LOCK_EX|unix.LOCK_NB) }); err != nil {
		if errors.Is(err, unix.EWOULDBLOCK) {
			return busy(node, holder(proc, node))
		}
		return fmt.Errorf("lock serial port %s: %w", node, err)
	}
	if err := configure(node, baud); err != nil {
		return refusal(node, err, proc)
	}
	t.tune()
	return nil
}

// configure lets the library set the line. The fork lock keeps its descriptors, which
// are not close-on-exec, out of child processes started meanwhile.
func configure(node string, baud int) error {
	syscall.ForkLock.RLock()
	defer syscall.ForkLock.RUnlock()
	p, err := serial.Open(node, &serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit})
	if err != nil {
		return err
	}
	return p.Close()
}

// tune sets what is good to have; a line that cannot do it works all the same.
func (t *tty) tune() {
	_ = t.control(func(fd int) error {
		// Lowering DTR at the last close restarts many boards at the next open.
		if s, err := unix.IoctlGetTermios(fd, unix.TCGETS); err == nil {
			s.Cflag &^= unix.HUPCL
			_ = unix.IoctlSetTermios(fd, unix.TCSETS, s)
		}
		// Keeps out programs that take no lock. A pseudo-terminal would stay shut
		// after this process is killed, so it is left open.
		var st unix.Stat_t
		if err := unix.Fstat(fd, &st); err == nil && !isPty(st.Rdev) {
			_ = unix.IoctlSetInt(fd, unix.TIOCEXCL, 0)
		}
		return setLowLatency(fd)
	})
}

// isPty reports whether rdev is the device number of a pseudo-terminal; their majors
// are fixed (Linux allocated devices list).
func isPty(rdev uint64) bool {
	major := unix.Major(rdev)
	return major >= 136 && major <= 143
}

// Read implements port.
func (t *tty) Read(buf []byte) (int, error) {
	if err := t.f.SetReadDeadline(time.Now().Add(idleAfter)); err != nil {
		return 0, err
	}
	n, err := t.f.Read(buf)
	return n, bare(err)
}

// Write implements port.
func (t *tty) Write(b []byte) (int, error) {
	if err := t.f.SetWriteDeadline(time.Now().Add(idleAfter)); err != nil {
		return 0, err
	}
	n, err := t.f.Write(b)
	return n, bare(err)
}

// Close implements port. Unsent bytes are thrown away first: the kernel would wait up
// to half a minute for a device that takes none. The lock is given back by name, since
// a child process between fork and exec keeps the file open for a moment longer.
func (t *tty) Close() error {
	_ = t.control(func(fd int) error {
		_ = unix.IoctlSetInt(fd, unix.TCFLSH, unix.TCOFLUSH)
		_ = unix.IoctlSetInt(fd, unix.TIOCNXCL, 0)
		return unix.Flock(fd, unix.LOCK_UN)
	})
	return t.f.Close()
}

// control runs fn on the descriptor; File.Fd would turn deadlines off.
func (t *tty) control(fn func(fd int) error) error { return onDescriptor(t.f, fn) }

func onDescriptor(f *os.File, fn func(fd int) error) error {
	c, err := f.SyscallConn()
	if err != nil {
		return err
	}
	var inner error
	if err := c.Control(func(fd uintptr) { inner = fn(int(fd)) }); err != nil {
		return err
	}
	return inner
}

// bare strips the operation and path that the os package adds: our own messages name
// them already.
func bare(err error) error {
	if errors.Is(err, os.ErrDeadlineExceeded) {
		return errIdle
	}
	if pe := (*fs.PathError)(nil); errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// refusal turns what the system or the library said into what to do about it.
func refusal(path string, err error, proc string) error {
	var lib *serial.PortError
	isLib := errors.As(err, &lib)
	switch {
	case errors.Is(err, fs.ErrPermission), isLib && lib.Code() == serial.PermissionDenied:
		return forbidden(path, groupOf(path))
	case errors.Is(err, unix.EBUSY), isLib && lib.Code() == serial.PortBusy:
		return busy(path, holder(proc, path))
	case errors.Is(err, fs.ErrNotExist), errors.Is(err, unix.ENXIO), errors.Is(err, unix.ENODEV):
		return missing(path)
	case isLib && lib.Code() == serial.InvalidSerialPort:
		return notSerial(path, err)
	}
	return fmt.Errorf("open serial port %s: %w", path, bare(err))
}
