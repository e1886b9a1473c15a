package energy

import (
	"fmt"
	"math"
	"slices"
)

// Departure is by how much the force of a spring that no straight law describes (a
// progressive spring, a rubber cord) exceeds that of the straight one, as measured at
// some extensions:
//
//	F_end(X) = F0 + k X - w/2 + departure(X)
//
// with F_end the pull on what hangs below and w the spring's weight. Between two
// extensions it runs straight, outside of them it stays what it is at the nearest, so
// that a law that rises from point to point rises throughout. Rate and initial tension
// are those of the straight line that the departure counts from; their uncertainties
// are the law's.
//
// With points h apart, a law of curvature F" is missed by at most h^2 F"/8.
type Departure struct {
	Extension []float64 `json:"extension_m"` // [m] rising
	Force     []float64 `json:"force_N"`     // [N] in excess of the straight law, one for each extension
}

// NewDeparture returns the departure of a law given by the loads [N] that stretch the
// hanging spring s to the extensions [m], with gravity in m/s2.
func NewDeparture(s *Spring, gravity float64, extensions, loads []float64) (*Departure, error) {
	if len(extensions) != len(loads) {
		return nil, fmt.Errorf("%w: spring curve has %d extensions and %d forces: give as many of both", ErrImpossible, len(extensions), len(loads))
	}
	d := &Departure{Extension: slices.Clone(extensions), Force: make([]float64, len(loads))}
	line := s.at(gravity)
	line.bend = nil
	for i, x := range extensions {
		d.Force[i] = loads[i] - line.pull(x)
	}
	return d, nil
}

// checkDeparture refuses points that make no rising law with the straight part of s.
func (s *Spring) checkDeparture(gravity float64) error {
	d := s.Departure
	if d == nil {
		return nil
	}
	if n := len(d.Extension); n < 3 || len(d.Force) != n {
		return fmt.Errorf("%w: spring curve has %d extensions and %d forces: at least three of both, as many of one as of the other", ErrImpossible, n, len(d.Force))
	}
	law := s.at(gravity)
	for i, x := range d.Extension {
		switch f := d.Force[i]; {
		case math.IsNaN(x+f) || math.IsInf(x+f, 0):
			return fmt.Errorf("%w: spring curve, point %d: not a number", ErrImpossible, i+1)
		case x < 0:
			return fmt.Errorf("%w: spring curve, point %d: extension %g m: must not be negative", ErrImpossible, i+1, x)
		case i > 0 && x <= d.Extension[i-1]:
			return fmt.Errorf("%w: spring curve, point %d: extension %g m: must rise from point to point", ErrImpossible, i+1, x)
		case i > 0 && law.pull(x) <= law.pull(d.Extension[i-1]):
			return fmt.Errorf("%w: spring curve, point %d: force %g N: must rise from point to point", ErrImpossible, i+1, law.pull(x))
		}
	}
	return nil
}

// bend is a departure made ready.
type bend struct {
	x, f []float64
	work []float64 // [J] integral of the departure from the first point to each
}

// newBend returns nil for a spring without departure.
func newBend(d *Departure) *bend {
	if d == nil || len(d.Extension) == 0 {
		return nil
	}
	b := &bend{x: d.Extension, f: d.Force, work: make([]float64, len(d.Extension))}
	for i := 1; i < len(b.x); i++ {
		b.work[i] = b.work[i-1] + (b.f[i]+b.f[i-1])/2*(b.x[i]-b.x[i-1])
	}
	return b
}

// at returns the departure [N] at an extension [m] and its integral [J] from the first
// point to there.
func (b *bend) at(x float64) (force, work float64) {
	if b == nil {
		return 0, 0
	}
	last := len(b.x) - 1
	switch {
	case !(x > b.x[0]): // so that what is absent stays so
		return b.f[0], b.f[0] * (x - b.x[0])
	case x >= b.x[last]:
		return b.f[last], b.work[last] + b.f[last]*(x-b.x[last])
	}
	i, _ := slices.BinarySearch(b.x, x)
	width := b.x[i] - b.x[i-1]
	force = b.f[i-1] + (b.f[i]-b.f[i-1])*(x-b.x[i-1])/width
	return force, b.work[i-1] + (b.f[i-1]+force)/2*(x-b.x[i-1])
}
