package loss

import (
	"fmt"
	"math"

	"joulewell/energy"
)

// books are Entries found sound, with what is worked out from them once.
type books struct {
	Entries
	n       int
	scatter float64 // [1] widening of the turning points' uncertainties
	middle  float64 // [m] extension about which the record swings
	reach   float64 // [m] largest amplitude of the record
}

func open(e Entries) (*books, error) {
	if err := e.Apparatus.Check(); err != nil {
		return nil, err
	}
	if e.From < 0 || e.To <= e.From || e.To >= len(e.Record) {
		return nil, fmt.Errorf("%w: from turning point %d to %d of %d: must be in order and in the record", ErrSamples, e.From, e.To, len(e.Record))
	}
	if !(e.Offset >= 0 && e.Offset <= most && e.Scale >= 0 && e.Scale <= 1) {
		return nil, fmt.Errorf("%w: uncertainty of offset %g m, of scale %g: must be zero or positive, that of the scale at most 1", ErrSamples, e.Offset, e.Scale)
	}
	low, high, err := soundRecord(e.Record)
	if err != nil {
		return nil, err
	}
	if e.Evidence != nil && (len(e.Evidence.record) != len(e.Record) || e.Evidence.record[0] != e.Record[0]) {
		return nil, fmt.Errorf("%w: evidence is of another record", ErrSamples)
	}
	b := &books{Entries: e, n: len(e.Record), scatter: 1}
	if e.Evidence != nil {
		b.scatter = e.Evidence.Scatter
	}
	b.middle, b.reach = (low+high)/2, (high-low)/2
	return b, nil
}

func (b *books) term(value float64) term { return term{value, make([]float64, 2*b.n+sharedInputs)} }

// state is everything that the energy at two extensions depends on.
type state struct {
	apparatus  energy.Apparatus
	from, to   float64 // [m]
	offset     float64 // [m]
	stretching float64 // [1] by which the scale is off
}

// potential is elastic plus gravitational energy [J] at an extension [m].
func (s *state) potential(extension float64) float64 {
	m, err := energy.NewModel(s.apparatus, 0)
	if err != nil {
		return math.NaN() // open has checked the apparatus, and a small step leaves it possible
	}
	return m.Potential(s.apparatus.Height(extension))
}

// drop is the mechanical energy at From less that at To.
func (b *books) drop() term {
	return b.propagate(func(s *state) float64 { return s.potential(b.moved(s, s.from)) - s.potential(b.moved(s, s.to)) })
}

// swing is the energy at From above that of the bob at rest.
func (b *books) swing() term {
	return b.propagate(func(s *state) float64 {
		return s.potential(b.moved(s, s.from)) - s.potential(s.apparatus.Equilibrium())
	})
}

// moved is where an extension lies when offset and scale of the sensor are off.
func (b *books) moved(s *state, x float64) float64 {
	return b.middle + (x-b.middle)*(1+s.stretching) + s.offset
}

// propagate evaluates an energy and its sensitivities, by differences small enough for
// the curvature and, on energies that are quadratic in all but the rate, exact.
func (b *books) propagate(of func(*state) float64) term {
	a := &b.Apparatus
	from, to := b.Record[b.From].Extension, b.Record[b.To].Extension
	here := state{apparatus: *a, from: from.Value, to: to.Value}
	t := b.term(of(&here))
	slope := func(at *float64, u, step float64) float64 {
		if u == 0 {
			return 0
		}
		keep := *at
		*at = keep + step
		up := of(&here)
		down, width := t.value, step
		if keep == 0 || keep > step { // an initial tension of zero cannot go below it
			*at = keep - step
			if lower := of(&here); !math.IsNaN(lower) {
				down, width = lower, 2*step
			}
		}
		*at = keep
		return (up - down) / width * u
	}
	const length = 1e-5 // [m] step of a length
	t.u[b.From] = slope(&here.from, from.U*b.scatter, length)
	t.u[b.To] = slope(&here.to, to.U*b.scatter, length)
	p := &here.apparatus
	for i, q := range [...]*energy.Estimate{
		ofRate: &p.Spring.Rate, ofBobMass: &p.Bob.Mass, ofSpringMass: &p.Spring.Mass,
		ofGravity: &p.Gravity, ofTension: &p.Spring.InitialTension,
	} {
		t.u[b.n+i] = slope(&q.Value, q.U, 1e-5*max(q.Value, 1e-3))
	}
	r := p.Spring.RateTension
	t.u[b.n+ofRate] += r * t.u[b.n+ofTension] // the tension follows the rate
	t.u[b.n+ofTension] *= math.Sqrt(1 - r*r)
	t.u[b.n+ofOffset] = slope(&here.offset, b.place(), length)
	t.u[b.n+ofScale] = slope(&here.stretching, b.Scale, 1e-5)
	return t
}

// hidden is what coil waves hide at To less what they hide at From.
func (b *books) hidden() (term, error) {
	t := b.term(0)
	before, after, err := b.hiddenAtMost()
	if err != nil {
		return t, err
	}
	from, to := Range{0, before}.estimate(), Range{0, after}.estimate()
	t.value = to.Value - from.Value
	t.u[b.n+ofCoilsBefore], t.u[b.n+ofCoilsAfter] = from.U, to.U
	return t, nil
}

// hiddenAtMost bounds what coil waves hide [J] at From and at To.
func (b *books) hiddenAtMost() (before, after float64, err error) {
	ratio := b.Apparatus.Spring.Mass.Value / b.Apparatus.Bob.Mass.Value
	exchanged := Exchanged(ratio, b.Apparatus.Spring.Rate.Value, b.reach)
	if before, err = CoilWave(ratio, Place(b.Record, b.From)); err != nil {
		return 0, 0, err
	}
	if after, err = CoilWave(ratio, Place(b.Record, b.To)); err != nil {
		return 0, 0, err
	}
	return before * exchanged, after * exchanged, nil
}
