package virtual

import (
	"math"
	"math/rand/v2"
	"slices"
)

// Fault is one thing that can go wrong.
type Fault struct {
	Name     string  // for [ParseFaults]
	Does     string  // one sentence
	Strength float64 // [Unit] where none is given
	Unit     string  // of the strength: 1 is a share of readings or lines
}

// Injected is a fault as it is to happen. It acts between From and To. A fault that
// comes in single events comes at From and then every [again] up to To; one that is
// built into the bench from the start takes no notice of either.
type Injected struct {
	Name     string  // of a fault of [Faults]
	Strength float64 // [Fault.Unit]
	From     float64 // [s] since the start
	To       float64 // [s] since the start; may be infinite
}

// Events without a time of their own.
const (
	firstEvent = 10.0 // [s]
	again      = 20.0 // [s]
)

// kind says how a fault uses time and chance.
type kind uint8

const (
	share  kind = iota // strength is the probability for each reading or line
	steady             // acts all the time between From and To
	event              // happens at certain moments
	built              // is part of the bench
)

// spec is a fault with what it does, at one or more of the places where it can act.
type spec struct {
	Fault
	kind     kind
	shape    func(c *Config, strength float64)
	distance func(f *active, d *Device, m *indication)
	force    func(f *active, d *Device, m *indication)
	line     func(f *active, d *Device, line []byte) []byte // may change line, which ends in LF, and returns what is sent
	happen   func(f *active, d *Device)
}

// specs is the list of all faults: of the motion, of the sensors, of the line's text
// and of the device, in the order in which they act. It is immutable.
var specs = slices.Concat(motionFaults, sensorFaults, lineFaults, rateFaults, deviceFaults)

// Faults returns all faults that can be injected.
func Faults() []Fault {
	list := make([]Fault, len(specs))
	for i := range specs {
		list[i] = specs[i].Fault
	}
	return list
}

func specOf(name string) *spec {
	for i := range specs {
		if specs[i].Name == name {
			return &specs[i]
		}
	}
	return nil
}

// active is a fault at work in one device.
type active struct {
	Injected
	spec *spec
	rng  *rand.Rand
	next int64 // [ns] of the next event

	until int64   // [ns] end of the last event, for faults that last
	value float64 // [raw unit] kept by faults that repeat it
	text  []byte  // kept by faults that hold a line back
}

// activate makes the faults of c, in the order of the list of all.
func activate(c *Config) []*active {
	var list []*active
	for i := range specs {
		for _, in := range c.Faults {
			if in.Name != specs[i].Name || specs[i].kind == built {
				continue
			}
			f := &active{Injected: in, spec: &specs[i], rng: stream(c.Seed, in.Name), next: never}
			if f.spec.kind == event {
				f.next = nanoseconds(in.From)
			}
			list = append(list, f)
		}
	}
	return list
}

// acts reports whether the fault does its work on a reading of the instant at [ns].
func (f *active) acts(at int64) bool {
	switch t := float64(at) * 1e-9; f.spec.kind {
	case share:
		return t >= f.From && t < f.To && f.rng.Float64() < f.Strength
	case steady:
		return t >= f.From && t < f.To
	}
	return true
}

// nextHappening returns the fault whose event comes next, or nil.
func (d *Device) nextHappening() *active {
	var first *active
	for _, f := range d.faults {
		if f.next != never && (first == nil || f.next < first.next) {
			first = f
		}
	}
	return first
}

// happen lets an event take place and plans the one after it.
func (f *active) happen(d *Device) {
	f.next += nanoseconds(again)
	if float64(f.next)*1e-9 > f.To {
		f.next = never
	}
	f.until = d.now + nanoseconds(f.Strength)
	if f.spec.happen != nil {
		f.spec.happen(f, d)
	}
}

// forever is the end of a fault that has none.
var forever = math.Inf(1)
