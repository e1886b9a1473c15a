package virtual

// slowest rebound [m/s]; a bob slower than this comes to rest on the floor.
const leastRebound = 2e-3

// stride advances s by h [s], s.at excepted, with the impacts on the floor that fall
// into it.
func (r *Rig) stride(s *state, d *damper, h float64) {
	k, last := r.chain, r.chain.coils-1
	for bounces := 0; ; bounces++ {
		near := s.u[last]+2*max(s.v[last], 0)*h+k.gravity*h*h > k.floor
		if s.grip != free || !near {
			k.step(s, d, h)
			return
		}
		r.before.copyFrom(s)
		k.step(s, d, h)
		if s.u[last] <= k.floor || s.v[last] <= 0 {
			return
		}
		tau := r.impact(h)
		s.copyFrom(r.before)
		k.step(s, r.trialDamper, tau)
		h -= tau
		r.strike(s, bounces)
		if h <= 0 {
			return
		}
	}
}

// impact returns the time [s] after the state kept in r.before at which the bob's
// lowest point meets the floor, at most h, to about a femtosecond.
func (r *Rig) impact(h float64) float64 {
	last := r.chain.coils - 1
	depth := func(tau float64) float64 {
		r.trial.copyFrom(r.before)
		r.chain.step(r.trial, r.trialDamper, tau)
		return r.trial.u[last] - r.chain.floor
	}
	low, high := 0.0, h
	below, above := r.before.u[last]-r.chain.floor, depth(h)
	if below >= 0 {
		return 0
	}
	for range 60 { // false position, the end that stays put given half its weight
		tau := low - below*(high-low)/(above-below)
		at := depth(tau)
		if at == 0 || high-low < 1e-15 {
			return tau
		}
		if at < 0 {
			low, below = tau, at
			above /= 2
		} else {
			high, above = tau, at
			below /= 2
		}
	}
	return low
}

// strike lets the bob hit the floor.
func (r *Rig) strike(s *state, bounces int) {
	k := r.chain
	v := &s.v[k.coils-1]
	s.contacts++
	back := -k.losses.Restitution * *v
	if back > -leastRebound || bounces > 20 {
		back = 0
		s.grip = resting
	}
	k.slow(v, back, &s.lost.Floor)
}
