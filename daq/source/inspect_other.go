//go:build !linux

package source

import "os"

// Inspect finds the port that [SerialOptions].Port would name now. More than that it is
// there cannot be told here.
func Inspect(name string, r Roots) (Inspection, error) {
	n, err := parsePortName(name)
	if err != nil {
		return Inspection{}, err
	}
	path, err := n.find(r.orUsual())
	if err != nil {
		return Inspection{}, err
	}
	if _, err := os.Stat(path); err != nil {
		return Inspection{}, missing(path)
	}
	return Inspection{Port: Port{Path: path, Access: true, Usable: true}}, nil
}
