package virtual

import (
	"fmt"
	"math"
)

// markEvery is how far apart [ns] a rig keeps states to go back to.
const markEvery = 100_000_000

// Rig is the apparatus in motion, with the hand that moves it. Time is true time in
// nanoseconds since the start. Its motion is worked out on a grid of steps that does
// not depend on when anyone looks, so two rigs of one [Config] agree bit for bit
// whatever is asked of them. A Rig is for one goroutine.
type Rig struct {
	chain *chain
	hand  Hand
	step  int64   // [ns]
	start float64 // [m] extension at which the bob is let go
	begun float64 // [J] mechanical energy at the start

	first       *state
	marks       [2]*state // states to go back to, newest first
	now         *state
	damper      *damper
	ahead       *state // a copy that runs ahead of now to the instant asked for
	aheadDamper *damper
	before      *state // ahead of an impact on the floor
	trial       *state
	trialDamper *damper
}

// NewRig returns the rig of c at its start, the bob in the hand. It refuses what
// cannot be.
func NewRig(c Config) (*Rig, error) {
	c, err := c.effective()
	if err != nil {
		return nil, fmt.Errorf("set up virtual bench %s: %w", c.Name, err)
	}
	return newRig(&c), nil
}

func newRig(c *Config) *Rig {
	k := newChain(c)
	r := &Rig{chain: k, hand: c.Hand}
	for _, s := range []**state{&r.first, &r.marks[0], &r.marks[1], &r.now, &r.ahead, &r.before, &r.trial} {
		*s = newState(k.coils)
	}
	r.damper, r.aheadDamper, r.trialDamper = newDamper(k), newDamper(k), newDamper(k)

	turn := turnApart
	if k.law.touching() {
		turn = turnTouching
	}
	step := min(turn/k.fastest(), 2*math.Pi/k.slowest()/1000, 1e-3)
	if c.Step > 0 {
		step = min(step, c.Step)
	}
	r.step = max(int64(step*1e9), 1)

	hanging, _ := k.stretch(0)
	r.start = hanging + c.Hand.Pull
	k.shape(r.now.u, r.start)
	r.now.grip = carried
	r.now.hand = handState{path: path{to: r.start}, due: r.release(0)}
	for _, s := range []*state{r.first, r.marks[0], r.marks[1]} {
		s.copyFrom(r.now)
	}
	r.ahead.at = -1
	r.begun = k.elastic(r.now.u) + k.gravitational(r.now.u)
	return r
}

// At returns the truth at an instant at [ns], exactly there and not at a step's end.
// Instants in rising order are cheap, and so are those up to a tenth of a second before
// the latest; for an older one the motion is worked out again from the start.
func (r *Rig) At(at int64) Truth {
	if at < r.now.at {
		r.now.copyFrom(r.markBefore(at))
	}
	r.advance(at)
	return r.truth(r.look(at))
}

// advance commits the rig to the last step that ends at or before the instant at.
func (r *Rig) advance(at int64) {
	r.run(r.now, r.damper, at)
	if newest := r.marks[0]; r.now.at >= newest.at+markEvery {
		r.marks[0], r.marks[1] = r.marks[1], newest
		r.marks[0].copyFrom(r.now)
	}
}

// markBefore returns the newest state kept that is not after the instant at.
func (r *Rig) markBefore(at int64) *state {
	for _, m := range r.marks {
		if m.at <= at {
			return m
		}
	}
	for _, m := range r.marks {
		m.copyFrom(r.first)
	}
	return r.first
}

// look returns the state at an instant not before the committed one, in the copy that
// runs ahead.
func (r *Rig) look(at int64) *state {
	s := r.ahead
	if s.at == at {
		return s // asked for twice
	}
	s.copyFrom(r.now)
	r.run(s, r.aheadDamper, at)
	if rest := at - s.at; rest > 0 {
		r.stride(s, r.aheadDamper, float64(rest)*1e-9)
		s.at = at
	}
	return s
}

// run takes all whole steps that end at or before the instant at. A step is cut short
// only where the hand acts.
func (r *Rig) run(s *state, d *damper, at int64) {
	last := r.chain.coils - 1
	for {
		next := s.at + r.step
		if s.hand.due < next {
			next = s.hand.due
		}
		if next > at {
			return
		}
		if h := next - s.at; h > 0 {
			speed := s.v[last]
			r.stride(s, d, float64(h)*1e-9)
			s.at = next
			r.watch(s, speed)
		}
		if s.at == s.hand.due {
			r.turn(s)
		}
	}
}
