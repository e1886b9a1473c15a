package frame

import (
	"math"
	"strings"

	"joulewell/daq/wire"
	"joulewell/energy"
)

// Kind says where a column's value comes from.
type Kind uint8

// The kinds of column.
const (
	Raw     Kind = iota // as the device sent it, in the device's unit
	Derived             // worked out by the daemon from raw columns, apparatus and calibration
)

// Column is one numeric quantity of a frame as outsiders meet it.
type Column struct {
	Name     string // header of the run file and key of the live messages; ends in the unit
	Unit     string // UCUM code, "" for a pure number
	Title    string // one plain phrase
	Kind     Kind
	Decimals int                  // digits after the point in files; -1 = as many as the raw number needs
	Of       func(*Frame) float64 // NaN = absent
}

// Energy reports whether the column is an energy or its uncertainty.
func (c *Column) Energy() bool { return c.Unit == "J" }

// Extension reports whether the column is the spring's extension or its uncertainty.
func (c *Column) Extension() bool { return strings.HasSuffix(c.Name, "extension_m") }

func raw(c wire.Column) func(*Frame) float64 {
	return func(f *Frame) float64 {
		if !f.Reading.Has(c) {
			return math.NaN()
		}
		return f.Reading.Values[c]
	}
}

func value(e func(*Frame) *energy.Estimate) func(*Frame) float64 {
	return func(f *Frame) float64 { return e(f).Value }
}

func uncertainty(e func(*Frame) *energy.Estimate) func(*Frame) float64 {
	return func(f *Frame) float64 { return e(f).U }
}

// Columns lists every numeric quantity that follows time_s, epoch, seq and
// device_us in a run file, in file order. The raw columns come first, in the order
// of the wire columns from EchoUs on.
func Columns() []Column { return columns }

var columns = []Column{
	{"raw_echo_us", "us", "round-trip time of the ranging sound", Raw, -1, raw(wire.EchoUs)},
	{"raw_range_mm", "mm", "distance as the sensor states it", Raw, -1, raw(wire.RangeMm)},
	{"raw_load_counts", "", "load cell conversion", Raw, -1, raw(wire.LoadCounts)},
	{"raw_load_N", "N", "force as the sensor states it", Raw, -1, raw(wire.LoadN)},
	{"raw_air_centi_C", "cCel", "air temperature", Raw, -1, raw(wire.AirCentiC)},
	{"raw_air_humidity_pct", "%", "relative humidity of the air", Raw, -1, raw(wire.AirHumidityPct)},
	{"raw_other_1", "", "first column of unknown name", Raw, -1, raw(wire.Other1)},
	{"raw_other_2", "", "second column of unknown name", Raw, -1, raw(wire.Other2)},
	{"raw_other_3", "", "third column of unknown name", Raw, -1, raw(wire.Other3)},
	{"raw_other_4", "", "fourth column of unknown name", Raw, -1, raw(wire.Other4)},
	{"distance_m", "m", "calibrated distance from sensor to bob", Derived, 6, value(func(f *Frame) *energy.Estimate { return &f.Distance })},
	{"force_N", "N", "force at the spring's top", Derived, 6, value(func(f *Frame) *energy.Estimate { return &f.Force })},
	{"extension_m", "m", "extension from the natural length, downward", Derived, 6, value(func(f *Frame) *energy.Estimate { return &f.Extension })},
	{"height_m", "m", "height of the bob's lowest point above the floor", Derived, 6, value(func(f *Frame) *energy.Estimate { return &f.Height })},
	{"velocity_m_s", "m/s", "velocity of the bob, upward", Derived, 6, value(func(f *Frame) *energy.Estimate { return &f.Velocity })},
	{"kinetic_J", "J", "kinetic energy of bob and spring", Derived, 7, value(func(f *Frame) *energy.Estimate { return &f.Energies.Kinetic })},
	{"elastic_J", "J", "elastic energy of the spring", Derived, 7, value(func(f *Frame) *energy.Estimate { return &f.Energies.Elastic })},
	{"gravitational_J", "J", "gravitational energy of bob and spring above the floor", Derived, 7, value(func(f *Frame) *energy.Estimate { return &f.Energies.Gravitational })},
	{"total_J", "J", "total mechanical energy", Derived, 7, value(func(f *Frame) *energy.Estimate { return &f.Energies.Total })},
	{"u_kinetic_J", "J", "standard uncertainty of the kinetic energy", Derived, 7, uncertainty(func(f *Frame) *energy.Estimate { return &f.Energies.Kinetic })},
	{"u_elastic_J", "J", "standard uncertainty of the elastic energy", Derived, 7, uncertainty(func(f *Frame) *energy.Estimate { return &f.Energies.Elastic })},
	{"u_gravitational_J", "J", "standard uncertainty of the gravitational energy", Derived, 7, uncertainty(func(f *Frame) *energy.Estimate { return &f.Energies.Gravitational })},
	{"u_total_J", "J", "standard uncertainty of the total energy", Derived, 7, uncertainty(func(f *Frame) *energy.Estimate { return &f.Energies.Total })},
}
