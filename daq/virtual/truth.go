package virtual

// Truth is all there is to know of the apparatus at one instant.
type Truth struct {
	At        int64   // [ns] since the start
	Height    float64 // [m] of the bob's lowest point above the floor
	Velocity  float64 // [m/s] of the bob, positive upward
	Extension float64 // [m] of the spring from its natural length
	Tension   float64 // [N] at the spring's top
	Impulse   float64 // [N s] time integral of Tension since the start

	KineticBob    float64 // [J]
	KineticSpring float64 // [J] of the coils, each with its own velocity
	Elastic       float64 // [J] of the coils, each with its own extension
	Gravitational float64 // [J] of bob and coils, from the floor

	Lost     Lost
	Work     float64 // [J] done by the hand since the start
	Start    float64 // [J] mechanical energy at the start
	Contacts int     // [1] impacts on the floor so far
	Held     bool    // the hand has the bob
}

// Mechanical returns the mechanical energy [J]: kinetic, elastic and gravitational.
func (t *Truth) Mechanical() float64 {
	return t.KineticBob + t.KineticSpring + t.Elastic + t.Gravitational
}

// Unexplained returns what the books leave open [J]: mechanical energy, plus all that
// was lost, less the hand's work, less the energy at the start. It is zero but for the
// integration.
func (t *Truth) Unexplained() float64 {
	return t.Mechanical() + t.Lost.Sum() - t.Work - t.Start
}

func (r *Rig) truth(s *state) Truth {
	k, last := r.chain, r.chain.coils-1
	t := Truth{
		At: s.at, Extension: s.u[last], Height: k.floor - s.u[last], Velocity: -s.v[last],
		Tension: k.top(s.u, s.v), Impulse: s.impulse,
		Elastic: k.elastic(s.u), Gravitational: k.gravitational(s.u),
		Lost: s.lost, Work: s.work, Start: r.begun,
		Contacts: s.contacts, Held: s.grip == carried,
	}
	t.KineticBob, t.KineticSpring = k.kinetic(s.v)
	return t
}
