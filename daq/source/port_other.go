//go:build !linux

package source

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"

	"go.bug.st/serial"
)

// libraryPort is a port through the serial library alone. The rule of port, one
// goroutine for everything, is what makes its Close safe.
type libraryPort struct{ serial.Port }

// openPort opens the device at path and sets it to baud bit/s, 8N1, raw.
func openPort(path string, baud int, _ string) (p port, node string, err error) {
	node = callOut(path)
	lib, err := serial.Open(node, &serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit})
	if err != nil {
		return nil, "", refusal(node, err)
	}
	if err := lib.SetReadTimeout(idleAfter); err != nil {
		lib.Close()
		return nil, "", fmt.Errorf("open serial port %s: %w", node, err)
	}
	return libraryPort{lib}, node, nil
}

// callOut returns the name under which macOS opens a port without waiting for a
// carrier: cu.* beside tty.*.
func callOut(path string) string {
	if rest, ok := strings.CutPrefix(path, "/dev/tty."); ok {
		return "/dev/cu." + rest
	}
	return path
}

// Read implements port: the library tells a timeout by giving neither bytes nor error.
func (p libraryPort) Read(buf []byte) (int, error) {
	n, err := p.Port.Read(buf)
	if n == 0 && err == nil {
		err = errIdle
	}
	return n, err
}

func refusal(path string, err error) error {
	var lib *serial.PortError
	if errors.As(err, &lib) {
		switch lib.Code() {
		case serial.PermissionDenied:
			return forbidden(path, "")
		case serial.PortBusy:
			return busy(path, "")
		case serial.PortNotFound:
			return missing(path)
		case serial.InvalidSerialPort:
			return notSerial(path, err)
		}
	}
	if errors.Is(err, fs.ErrNotExist) {
		return missing(path)
	}
	return fmt.Errorf("open serial port %s: %w", path, err)
}

// openers is known on Linux only.
func openers(_, _ string) []string { return nil }
