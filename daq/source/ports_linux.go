package source

import (
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"golang.org/x/sys/unix"
)

// ListPorts lists the serial ports that have a device behind them, in order of path.
// It opens none of them: opening restarts boards and disturbs whoever reads.
func ListPorts(r Roots) ([]Port, error) {
	r = r.orUsual()
	class := filepath.Join(r.Sys, "class", "tty")
	entries, err := os.ReadDir(class)
	if err != nil {
		return nil, fmt.Errorf("list serial ports: %w: name the port by its path instead", err)
	}
	links := stableLinks(r.Dev)
	var ports []Port
	for _, e := range entries {
		tty := filepath.Join(class, e.Name())
		device, err := filepath.EvalSymlinks(filepath.Join(tty, "device"))
		if err != nil {
			continue // a console, or unplugged this very moment
		}
		if _, err := os.Stat(filepath.Join(r.Dev, e.Name())); err != nil {
			continue // no node to open, here or any more
		}
		ports = append(ports, describe(r, tty, device, links))
	}
	slices.SortFunc(ports, func(a, b Port) int { return strings.Compare(a.Path, b.Path) })
	return ports, nil
}

func describe(r Roots, tty, device string, links map[string][]string) Port {
	p := Port{Path: filepath.Join(r.Dev, filepath.Base(tty))}
	if usb := usbFolder(device, r.Sys); usb != "" {
		p.Vendor = strings.ToLower(attribute(usb, "idVendor"))
		p.Product = strings.ToLower(attribute(usb, "idProduct"))
		p.Serial = attribute(usb, "serial")
		p.Text = strings.TrimSpace(attribute(usb, "manufacturer") + " " + attribute(usb, "product"))
		p.Known = isKnown(p.Vendor, p.Product)
	}
	p.Link = preferred(links[realPath(p.Path)], p.Serial != "")
	p.Group = groupOf(p.Path)
	p.Access = mayUse(p.Path)
	// A UART of type 0 is a place on the board that nothing is fitted to.
	p.Usable = p.Access && attribute(tty, "type") != "0"
	return p
}

// usbFolder walks up from device to the USB device that it is a part of; "" if none.
func usbFolder(device, sys string) string {
	top := realPath(sys)
	for d := device; strings.HasPrefix(d, top) && d != top; d = filepath.Dir(d) {
		if _, err := os.Stat(filepath.Join(d, "idVendor")); err == nil {
			return d
		}
	}
	return ""
}

func attribute(folder, name string) string {
	b, err := os.ReadFile(filepath.Join(folder, name))
	if err != nil {
		return "" // attributes are optional, and vanish with the device
	}
	return strings.TrimSpace(string(b))
}

// linkFolders hold the lasting names of ports, best first.
var linkFolders = []string{"joulewell", "serial/by-id", "serial/by-path"}

// stableLinks maps a device node to the links that lead to it, in order of linkFolders.
func stableLinks(dev string) map[string][]string {
	links := map[string][]string{}
	for _, folder := range linkFolders {
		names, _ := filepath.Glob(filepath.Join(dev, folder, "*"))
		for _, name := range names {
			if node, err := filepath.EvalSymlinks(name); err == nil {
				links[node] = append(links[node], name)
			}
		}
	}
	return links
}

// preferred chooses among the links of one port. A by-id name made without a serial
// number is shared by all bridges of that make, so a by-path name goes before it.
func preferred(links []string, hasSerial bool) string {
	for _, l := range links {
		if hasSerial || !strings.Contains(l, "/by-id/") {
			return l
		}
	}
	if len(links) > 0 {
		return links[0]
	}
	return ""
}

// realPath follows links; a path that leads nowhere stays as it is.
func realPath(path string) string {
	if node, err := filepath.EvalSymlinks(path); err == nil {
		return node
	}
	return path
}

func groupOf(path string) string {
	fi, err := os.Stat(path)
	if err != nil {
		return ""
	}
	st, ok := fi.Sys().(*syscall.Stat_t)
	if !ok {
		return ""
	}
	id := strconv.FormatUint(uint64(st.Gid), 10)
	if g, err := user.LookupGroupId(id); err == nil {
		return g.Name
	}
	return id
}

// mayUse asks the kernel, which knows about access lists too; the port stays shut.
func mayUse(path string) bool {
	return unix.Faccessat(unix.AT_FDCWD, path, unix.R_OK|unix.W_OK, unix.AT_EACCESS) == nil
}
