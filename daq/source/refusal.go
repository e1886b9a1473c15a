package source

import (
	"errors"
	"fmt"
	"io/fs"
	"strings"
)

// Causes for which a port is not opened, besides fs.ErrPermission.
var (
	errMissing   = errors.New("there is no such device")
	errAmbiguous = errors.New("several devices could be meant")
	errBusy      = errors.New("another program holds it")
	errNotSerial = errors.New("it is not a serial port")
)

const rulesFile = "udev/60-joulewell.rules"

// missing says that there is nothing to open at path.
func missing(path string) error {
	return fmt.Errorf("open serial port %s: %w: plug the device in, or name another port", path, errMissing)
}

// forbidden says that the user may not open path. group owns it; "" if not known.
func forbidden(path, group string) error {
	const rules = "install " + rulesFile + " and join group joulewell"
	switch group {
	case "":
		return fmt.Errorf("open serial port %s: %w: %s", path, fs.ErrPermission, rules)
	case "root":
		// Joining group root would open far more than a serial port.
		return fmt.Errorf("open serial port %s: %w: it belongs to root alone: %s", path, fs.ErrPermission, rules)
	case "joulewell":
		return fmt.Errorf("open serial port %s: %w: it belongs to group joulewell: add the user to it and log in again",
			path, fs.ErrPermission)
	}
	return fmt.Errorf("open serial port %s: %w: it belongs to group %s: add the user to it and log in again, or %s",
		path, fs.ErrPermission, group, rules)
}

// busy says that somebody else reads path. who is for people; "" if not known.
func busy(path, who string) error {
	if who == "" {
		return fmt.Errorf("open serial port %s: %w: stop the program that reads it", path, errBusy)
	}
	return fmt.Errorf("open serial port %s: %w: %s: stop it first", path, errBusy, who)
}

// notSerial says that path is something else, with the cause if there is one.
func notSerial(path string, cause error) error {
	const want = "name a device such as /dev/ttyUSB0 or /dev/ttyACM0"
	if cause == nil {
		return fmt.Errorf("open serial port %s: %w: %s", path, errNotSerial, want)
	}
	return fmt.Errorf("open serial port %s: %w, or no hardware answers there: %w: %s", path, errNotSerial, cause, want)
}

// hungUp says that an open port stopped working. End of file and the several errors
// that drivers give at an unplug all mean the same.
func hungUp(path string, cause error) error {
	return fmt.Errorf("read serial port %s: the device hung up (%w): "+
		"check its cable; it is read again as soon as it is back", path, cause)
}

// among lists ports for people.
func among(ports []Port) string {
	if len(ports) == 0 {
		return "no USB serial device is plugged in"
	}
	var b strings.Builder
	b.WriteString("plugged in:")
	for i, p := range ports {
		if i > 0 {
			b.WriteString(",")
		}
		fmt.Fprintf(&b, " %s (usb:%s:%s", p.Stable(), p.Vendor, p.Product)
		if p.Serial != "" {
			b.WriteString(":" + p.Serial)
		}
		b.WriteString(")")
	}
	return b.String()
}
