package virtual

// Coefficients of a symmetric splitting of fourth order with six stages for
// accelerations that depend on places only: kicks and drifts in turn, kicks at both
// ends. Blanes and Moan, Practical symplectic partitioned Runge-Kutta and
// Runge-Kutta-Nystrom methods, J. Comput. Appl. Math. 142 (2002) 313, the method with
// index 6 and type b (digits from memory; order and stability are checked in the
// tests). On a harmonic oscillation it is stable up to a step of 5/omega.
const (
	kick1  = 0.0829844064174052
	kick2  = 0.396309801498368
	kick3  = -0.0390563049223486
	kick4  = 1 - 2*(kick1+kick2+kick3)
	drift1 = 0.245298957184271
	drift2 = 0.604872665711080
	drift3 = 0.5 - drift1 - drift2
)

// Longest steps, in radians of the stiffest mode. At 2 that mode's energy, of which
// there is next to none, wavers by a thousandth. Coils that open and close do so at
// any moment of a step, which must be shorter for it.
const (
	turnApart    = 2.0
	turnTouching = 0.7
)

// step advances s by h [s], s.at excepted. Losses act for half a step before the
// conservative part and for half a step, in reverse order, after it: of fourth order
// without losses and of second order in the losses.
func (k *chain) step(s *state, d *damper, h float64) {
	k.loosen(s)
	last := k.coils - 1
	from, speed := s.u[last], s.v[last]
	before := k.top(s.u, s.v)

	if !d.idle {
		k.drag(s, d, h/2, false)
		k.relax(s, d, h/2)
	}
	k.pass(s, h*kick1, h*drift1)
	k.pass(s, h*kick2, h*drift2)
	k.pass(s, h*kick3, h*drift3)
	k.pass(s, h*kick4, h*drift3)
	k.pass(s, h*kick3, h*drift2)
	k.pass(s, h*kick2, h*drift1)
	k.pass(s, h*kick1, 0)
	if !d.idle {
		k.relax(s, d, h/2)
		k.drag(s, d, h/2, true)
	}

	s.impulse += h * (before + k.top(s.u, s.v)) / 2
	if s.grip == carried {
		// Against the coil's pull the hand's work is booked kick by kick; what is left
		// is lifting the end's own weight and speeding it up.
		to := s.v[last]
		s.work += k.end*(to*to-speed*speed)/2 - k.weight*(s.u[last]-from)
	}
}

// pass kicks all beads for kick [s] and lets them drift for drift [s].
func (k *chain) pass(s *state, kick, drift float64) {
	var low float64 // tension in the lowest coil before the drift
	if k.law.touching() {
		low = k.passTouching(s, kick, drift)
	} else {
		low = k.passApart(s, kick, drift)
	}
	last := k.coils - 1
	switch s.grip {
	case free:
		s.v[last] += kick * (k.weight - low) / k.end
		s.u[last] += drift * s.v[last]
	case carried:
		s.work += kick * low * s.v[last]
		s.hand.gone += drift
		s.u[last], s.v[last] = s.hand.path.at(s.hand.gone)
	}
}

// passApart is pass for the beads above the end when coils never touch: the hot loop.
func (k *chain) passApart(s *state, kick, drift float64) float64 {
	u := s.u
	v := s.v[:len(u)]
	rate := k.law.rate
	fall := kick * k.gravity
	pull := kick * rate / k.bead
	above := u[0] // extension of the coil above
	for i := 0; i < len(u)-1; i++ {
		below := u[i+1] - u[i]
		w := v[i] + (fall + pull*(below-above))
		v[i] = w
		u[i] += drift * w
		above = below
	}
	return k.law.tension + rate*above
}

// passTouching is the same with the law of coils that can close.
func (k *chain) passTouching(s *state, kick, drift float64) float64 {
	u := s.u
	v := s.v[:len(u)]
	fall := kick * k.gravity
	pull := kick / k.bead
	above := k.law.force(u[0])
	for i := 0; i < len(u)-1; i++ {
		below := k.law.force(u[i+1] - u[i])
		v[i] += fall + pull*(below-above)
		u[i] += drift * v[i]
		above = below
	}
	return above
}
