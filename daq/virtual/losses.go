package virtual

import "math"

// Lost is what has left the mechanical energy since the start, by its way out.
type Lost struct {
	Viscous   float64 // [J] drag that grows with velocity
	Quadratic float64 // [J] drag that grows with its square
	Sliding   float64 // [J] dry friction
	Internal  float64 // [J] inside the spring
	Floor     float64 // [J] impacts on the floor
}

// Sum returns the whole loss [J].
func (l *Lost) Sum() float64 {
	return l.Viscous + l.Quadratic + l.Sliding + l.Internal + l.Floor
}

// damper keeps the factors of the dissipative parts of a step, which depend on its
// length only. Each line of integration has its own.
type damper struct {
	idle    bool      // there are no losses to see to
	h       float64   // [s] the step that the factors below belong to
	viscous float64   // [1] velocity kept
	stiff   float64   // [kg] half step times damping of a coil
	inverse []float64 // [1/kg] inverse pivots of the tridiagonal system
	mean    []float64 // [m/s] velocities in the middle of the step; scratch
}

func newDamper(k *chain) *damper {
	l := &k.losses
	return &damper{
		idle:    l.Viscous == 0 && l.Quadratic == 0 && l.Sliding == 0 && l.Internal == 0,
		inverse: make([]float64, k.coils),
		mean:    make([]float64, k.coils),
	}
}

// tune makes the factors fit a step of h.
func (d *damper) tune(k *chain, h float64) {
	if d.h == h {
		return
	}
	d.h = h
	d.viscous = math.Exp(-k.losses.Viscous * h / k.end)
	d.stiff = h / 2 * k.damping
	carry := 0.0
	for i := range d.inverse {
		pivot := k.bead + 2*d.stiff
		if i == k.coils-1 {
			pivot = k.end + d.stiff
		}
		d.inverse[i] = 1 / (pivot - d.stiff*carry)
		carry = d.stiff * d.inverse[i]
	}
}

// drag lets the bob's own friction act for h [s], positions standing still. Each part
// is solved exactly and books exactly the kinetic energy that it takes; on a bob that
// the hand moves, the hand pays. The parts come in one order at the start of a step
// and in the reverse order at its end.
func (k *chain) drag(s *state, d *damper, h float64, ending bool) {
	d.tune(k, h)
	l, v := &k.losses, &s.v[k.coils-1]
	switch {
	case *v == 0:
	case s.grip == carried:
		speed := math.Abs(*v)
		way := h * speed
		viscous, quadratic, sliding := way*l.Viscous*speed, way*l.Quadratic*speed*speed, way*l.Sliding
		s.lost.Viscous += viscous
		s.lost.Quadratic += quadratic
		s.lost.Sliding += sliding
		s.work += viscous + quadratic + sliding
	case ending:
		k.rub(s, h)
		k.slow(v, *v/(1+l.Quadratic*math.Abs(*v)*h/k.end), &s.lost.Quadratic)
		k.slow(v, *v*d.viscous, &s.lost.Viscous)
	default:
		k.slow(v, *v*d.viscous, &s.lost.Viscous)
		k.slow(v, *v/(1+l.Quadratic*math.Abs(*v)*h/k.end), &s.lost.Quadratic)
		k.rub(s, h)
	}
}

// slow sets the end's velocity to w and books the kinetic energy lost.
func (k *chain) slow(v *float64, w float64, account *float64) {
	*account += k.end * (*v - w) * (*v + w) / 2
	*v = w
}

// rub lets sliding friction act for h [s], and stick when it stops the bob.
func (k *chain) rub(s *state, h float64) {
	v := &s.v[k.coils-1]
	less := k.losses.Sliding * h / k.end
	if math.Abs(*v) > less {
		k.slow(v, *v-math.Copysign(less, *v), &s.lost.Sliding)
		return
	}
	k.slow(v, 0, &s.lost.Sliding)
	k.stick(s)
}

// stick lets sliding friction hold an end at rest that it can hold.
func (k *chain) stick(s *state) {
	if k.losses.Sliding > 0 && math.Abs(k.netForce(s)) <= k.losses.Sliding {
		s.grip = stuck
	}
}

// netForce returns the force [N] on the end, downward, friction left out.
func (k *chain) netForce(s *state) float64 {
	last := k.coils - 1
	creep := s.v[last]
	if last > 0 {
		creep -= s.v[last-1]
	}
	return k.weight - k.endTension(s.u) - k.damping*creep
}

// loosen frees an end that friction or floor can hold no longer.
func (k *chain) loosen(s *state) {
	switch s.grip {
	case stuck:
		if math.Abs(k.netForce(s)) > k.losses.Sliding {
			s.grip = free
		}
	case resting:
		if k.netForce(s) < 0 {
			s.grip = free
		}
	}
}

// relax lets the damping inside the coils act for h [s]: m dv/dt = -damping * L v by
// the implicit midpoint rule, a tridiagonal system. The rule is stable at any step and
// the loss, h * damping * (difference of mean velocities)^2 over all coils, is exactly
// the kinetic energy taken. The velocity of an end that is held is given, and the hand
// pays for its part.
func (k *chain) relax(s *state, d *damper, h float64) {
	if k.damping == 0 {
		return
	}
	d.tune(k, h)
	last := k.coils - 1
	v, mean, inverse := s.v, d.mean[:len(s.v)], d.inverse[:len(s.v)]
	carry := 0.0
	for i := range last {
		carry = (k.bead*v[i] + d.stiff*carry) * inverse[i]
		mean[i] = carry
	}
	held := s.grip != free
	if held {
		mean[last] = v[last]
	} else {
		mean[last] = (k.end*v[last] + d.stiff*carry) * inverse[last]
		v[last] = 2*mean[last] - v[last]
	}
	sum, below := 0.0, mean[last]
	for i := last - 1; i >= 0; i-- {
		here := mean[i] + d.stiff*inverse[i]*below
		if i == last-1 && held {
			s.work += h * k.damping * (below - here) * below
		}
		v[i] = 2*here - v[i]
		sum += (below - here) * (below - here)
		below = here
	}
	sum += below * below // the coil at the support
	if last == 0 && held {
		s.work += h * k.damping * below * below
	}
	s.lost.Internal += h * k.damping * sum
}
