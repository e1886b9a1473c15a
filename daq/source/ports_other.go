//go:build !linux

package source

import (
	"fmt"
	"path/filepath"
	"runtime"

	"go.bug.st/serial"
)

// ListPorts lists the serial ports by name only: USB ids are read on Linux. It opens
// none of them.
func ListPorts(Roots) ([]Port, error) {
	var names []string
	var err error
	if runtime.GOOS == "windows" {
		names, err = serial.GetPortsList() // reads the registry
	} else {
		// Opening a tty.* node waits for a carrier that boards do not give.
		names, err = filepath.Glob("/dev/cu.*")
	}
	if err != nil {
		return nil, fmt.Errorf("list serial ports: %w: name the port by its path instead", err)
	}
	ports := make([]Port, len(names))
	for i, name := range names {
		ports[i] = Port{Path: name, Access: true, Usable: true}
	}
	return ports, nil
}
