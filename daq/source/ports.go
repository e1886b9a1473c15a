package source

import (
	"cmp"
	"fmt"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
)

// Roots are the folders in which devices are looked up. Empty fields stand for the
// usual places; tests and containers name others.
type Roots struct {
	Sys  string // "/sys"
	Dev  string // "/dev"
	Proc string // "/proc"
	Run  string // "/run"
}

func (r Roots) orUsual() Roots {
	return Roots{cmp.Or(r.Sys, "/sys"), cmp.Or(r.Dev, "/dev"), cmp.Or(r.Proc, "/proc"), cmp.Or(r.Run, "/run")}
}

// Port is a serial port that the system knows of, found without opening it.
type Port struct {
	Path    string // device node
	Link    string // name that stays when the node's number changes; empty if there is none
	Vendor  string // USB vendor id, four lower-case hexadecimal digits; empty if not USB
	Product string // USB product id, likewise
	Serial  string // USB serial number; many bridges have none
	Text    string // what the device calls itself: maker and product
	Group   string // group that owns the node; empty if not known
	Access  bool   // this process may read and write it
	Known   bool   // a bridge or board of [Bridges]
	Usable  bool   // there is hardware behind it, and Access
}

// Inspection is what can be told of a port without opening it.
type Inspection struct {
	Port
	Holder  string // programs that have it open, for people; empty if none is known
	Latency int    // [ms] for which its bridge holds short packets; 0 = it has no such timer
	Probed  bool   // a modem manager runs and has not been told to keep off
}

// Stable returns the name to put into a configuration: Link, or Path if there is none.
func (p Port) Stable() string { return cmp.Or(p.Link, p.Path) }

// portName is the parsed form of [SerialOptions].Port.
type portName struct {
	text    string
	auto    bool
	vendor  string // of a usb: name
	product string
	serial  string
}

func parsePortName(text string) (portName, error) {
	const want = "want the path of a device, usb:VVVV:PPPP, usb:VVVV:PPPP:SERIAL or auto"
	n := portName{text: text}
	if text == "auto" {
		n.auto = true
		return n, nil
	}
	if ids, isUSB := strings.CutPrefix(text, "usb:"); isUSB {
		parts := strings.SplitN(ids, ":", 3) // a serial number may hold colons
		if len(parts) < 2 || !isUSBID(parts[0]) || !isUSBID(parts[1]) || (len(parts) == 3 && parts[2] == "") {
			return n, fmt.Errorf("read port name %q: the ids are not four hexadecimal digits each: %s", text, want)
		}
		n.vendor, n.product = strings.ToLower(parts[0]), strings.ToLower(parts[1])
		if len(parts) == 3 {
			n.serial = parts[2]
		}
		return n, nil
	}
	if !filepath.IsAbs(text) && runtime.GOOS != "windows" {
		return n, fmt.Errorf("read port name %q: it is no absolute path: %s", text, want)
	}
	return n, nil
}

func isUSBID(s string) bool {
	return len(s) == 4 && strings.Trim(strings.ToLower(s), "0123456789abcdef") == ""
}

// find returns the path to open now. The answer may differ each time: a device that
// was unplugged comes back under another number.
func (n portName) find(r Roots) (string, error) {
	if !n.auto && n.vendor == "" {
		return n.text, nil
	}
	ports, err := ListPorts(r)
	if err != nil {
		return "", err
	}
	ports = slices.DeleteFunc(ports, func(p Port) bool { return p.Vendor == "" })
	if n.auto {
		return pick(ports)
	}
	var fit []Port
	for _, p := range ports {
		if p.Vendor == n.vendor && p.Product == n.product && (n.serial == "" || p.Serial == n.serial) {
			fit = append(fit, p)
		}
	}
	switch len(fit) {
	case 0:
		return "", fmt.Errorf("find serial port %s: %w: plug it in, or name another; %s", n.text, errMissing, among(ports))
	case 1:
		return fit[0].Path, nil
	}
	return "", fmt.Errorf("find serial port %s: %w: name one by its path or serial number; %s",
		n.text, errAmbiguous, among(fit))
}

// pick chooses the only usable USB port; one that carries a known bridge or board
// goes before others, which may be telephones or modems.
func pick(ports []Port) (string, error) {
	var usable, known, shut []Port
	for _, p := range ports {
		switch {
		case p.Usable && p.Known:
			known = append(known, p)
			usable = append(usable, p)
		case p.Usable:
			usable = append(usable, p)
		case !p.Access:
			shut = append(shut, p)
		}
	}
	switch {
	case len(known) == 1:
		return known[0].Path, nil
	case len(usable) == 1:
		return usable[0].Path, nil
	case len(usable) > 1:
		return "", fmt.Errorf("find serial port auto: %w: name one as the port; %s", errAmbiguous, among(usable))
	case len(shut) > 0:
		return "", forbidden(shut[0].Path, shut[0].Group)
	}
	return "", fmt.Errorf("find serial port auto: %w: plug it in, or name a port; %s", errMissing, among(nil))
}
