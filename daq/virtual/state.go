package virtual

// grip says what moves the chain's end.
type grip uint8

const (
	free    grip = iota // gravity and spring
	carried             // the hand, along a path; a hold is a path that stands still
	stuck               // sliding friction holds it
	resting             // it lies on the floor
)

// state is a chain at one instant, with its books.
type state struct {
	at   int64     // [ns]
	u, v []float64 // [m] and [m/s] of the beads, downward; the last is the bob
	grip grip
	hand handState

	lost     Lost
	work     float64 // [J] done by the hand
	impulse  float64 // [N s] time integral of the tension at the support
	contacts int     // with the floor
}

func newState(coils int) *state {
	both := make([]float64, 2*coils)
	return &state{u: both[:coils:coils], v: both[coils:]}
}

// copyFrom makes s equal to o, which has as many coils.
func (s *state) copyFrom(o *state) {
	u, v := s.u, s.v
	copy(u, o.u)
	copy(v, o.v)
	*s = *o
	s.u, s.v = u, v
}
