package virtual

import "math"

// reach is how long [s] the hand waits at most for the bob to come up to it.
const reach = 2.5

// phase is what the hand is doing.
type phase uint8

const (
	holding   phase = iota // until the release
	watching               // the bob swings by itself
	reaching               // waits for an upper turning point to catch it
	returning              // carries it back to where it started
)

// handState is the hand at one instant.
type handState struct {
	phase phase
	due   int64   // [ns] at which the phase ends by itself
	cycle int64   // [1] releases so far
	path  path    // of the carried end
	gone  float64 // [s] since the path began
}

// path is a smooth way from one place and velocity to rest at another: the polynomial
// of fifth degree with no acceleration at either end.
type path struct {
	from  float64 // [m]
	to    float64 // [m]
	speed float64 // [m/s] at the start
	span  float64 // [s]; 0 = stays at to
}

// at returns position [m] and velocity [m/s] at t [s] after the start.
func (p *path) at(t float64) (x, v float64) {
	if t >= p.span {
		return p.to, 0
	}
	q := t / p.span
	q2 := q * q
	way, run := p.to-p.from, p.speed*p.span
	x = p.from + run*q + q2*q*((10*way-6*run)+q*((-15*way+8*run)+q*(6*way-3*run)))
	v = (run + q2*(3*(10*way-6*run)+q*(4*(-15*way+8*run)+q*5*(6*way-3*run)))) / p.span
	return x, v
}

// turn lets the hand do what is due now.
func (r *Rig) turn(s *state) {
	h := &s.hand
	last := r.chain.coils - 1
	switch h.phase {
	case holding:
		s.grip = free
		s.v[last] = r.hand.Push
		s.work += r.chain.end * r.hand.Push * r.hand.Push / 2
		if r.hand.Push == 0 {
			r.chain.stick(s)
		}
		h.cycle++
		h.phase, h.due = watching, math.MaxInt64
		if r.hand.Period > 0 {
			h.due = nanoseconds(float64(h.cycle)*r.hand.Period - r.hand.Carry - reach)
		}
	case watching:
		h.phase, h.due = reaching, h.due+nanoseconds(reach)
	case reaching:
		r.catch(s)
	case returning:
		h.path = path{to: r.start}
		h.phase, h.due = holding, r.release(h.cycle)
	}
}

// release returns the instant [ns] of release n, counted from 0.
func (r *Rig) release(n int64) int64 {
	return nanoseconds(float64(n)*r.hand.Period + r.hand.Hold)
}

// watch catches a bob that has just turned downward, or that does not move at all,
// while the hand is reaching for it. speed is its velocity a step ago.
func (r *Rig) watch(s *state, speed float64) {
	if s.hand.phase != reaching {
		return
	}
	if now := s.v[r.chain.coils-1]; speed <= 0 && now >= 0 {
		r.catch(s)
	}
}

func (r *Rig) catch(s *state) {
	last := r.chain.coils - 1
	s.grip = carried
	s.hand.path = path{from: s.u[last], to: r.start, speed: s.v[last], span: r.hand.Carry}
	s.hand.gone = 0
	s.hand.phase, s.hand.due = returning, s.at+nanoseconds(r.hand.Carry)
}

// nanoseconds rounds seconds to whole nanoseconds.
func nanoseconds(s float64) int64 { return int64(math.Round(s * 1e9)) }
