// Package setup says what hangs where and which device watches it: the bench.toml
// of one bench, read and checked as a whole before anything is opened.
package setup

import (
	"time"

	"joulewell/calib"
	"joulewell/energy"
)

// Bench is one bench as configured: everything a run needs to be worked out again.
type Bench struct {
	Name        string            `json:"bench"`
	SpringLabel string            `json:"spring_label"`
	BobLabel    string            `json:"bob_label"`
	Apparatus   energy.Apparatus  `json:"apparatus"`
	Calibration calib.Calibration `json:"calibration"`
	Motion      Motion            `json:"motion"`
}

// Motion chooses the live velocity estimate.
type Motion struct {
	Lag    time.Duration `json:"lag_ns"` // [ns] by which derived values trail their reading; at most 60 ms
	Degree int           `json:"degree"` // [1] of the local polynomial, 2 or 3
}

// Device is how the device is reached and what its lines hold.
type Device struct {
	Port            string   // path, "usb:VENDOR:PRODUCT" or "usb:VENDOR:PRODUCT:SERIAL" (hexadecimal ids), or "auto"
	Baud            int      // [bit/s]
	Fields          []string // columns of a device that never announces them; empty = wait for #fields
	RequireChecksum bool     // refuse lines without *HH
}
