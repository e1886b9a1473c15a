package virtual

import "math"

// massless is the spring's share of the bob's mass below which its waves are left out.
const massless = 1e-4

// chain is the bob on its spring as beads on coils, in displacements downward from
// the places of the unloaded spring. A coil has half a bead at each of its ends, so
// that the upper half of the first bead sits in the support and the lower half of the
// last moves with the bob. The static shape at the beads is then exact, and the
// frequency's deviation from that of a uniform spring falls with the square of the
// number of coils.
type chain struct {
	coils     int
	law       coil
	bob       float64 // [kg]
	bead      float64 // [kg] of each bead between two coils
	end       float64 // [kg] that moves with the bob, bob included
	weight    float64 // [N] of end
	support   float64 // [N] weight of the half bead in the support
	gravity   float64 // [m/s2]
	losses    Losses
	damping   float64 // [N s/m] of one coil
	floor     float64 // [m] displacement at which the bob touches the floor
	reference float64 // [J] gravitational energy of the unloaded shape, from the floor
}

func newChain(c *Config) *chain {
	s, g := &c.Spring, c.Gravity
	n := float64(s.Coils)
	k := &chain{
		coils: s.Coils, bob: c.Bob.Mass, gravity: g, losses: c.Losses,
		bead: s.Mass / n, end: c.Bob.Mass + s.Mass/(2*n), support: s.Mass * g / (2 * n),
		floor: c.Support - s.NaturalLength - c.Bob.Length,
	}
	k.weight = k.end * g
	if s.Mass < massless*c.Bob.Mass {
		// Too light for waves that matter: a third of it swings, half of it hangs.
		k.coils, n = 1, 1
		k.end = c.Bob.Mass + s.Mass/3
		k.support = s.Mass * g / 2
		k.weight = c.Bob.Mass*g + k.support
	}
	k.law = newCoil(s, k.coils)
	k.damping = c.Losses.Internal * n
	k.reference = c.Bob.Mass*g*k.floor + s.Mass*g*(c.Support-s.NaturalLength/2)
	return k
}

// fastest returns the angular frequency [1/s] of the stiffest mode, from above.
func (k *chain) fastest() float64 {
	if k.coils == 1 {
		return math.Sqrt(k.law.closed / k.end)
	}
	return 2 * math.Sqrt(k.law.closed/k.bead)
}

// slowest returns about the angular frequency [1/s] of the bob.
func (k *chain) slowest() float64 {
	mass := k.end + k.bead*float64(k.coils)/3
	return math.Sqrt(k.law.rate / float64(k.coils) / mass)
}

// own returns the weight [N] of the spring below coil i (from 0 at the top).
func (k *chain) own(i int) float64 {
	return float64(k.coils-1-i)*k.bead*k.gravity + k.weight - k.bob*k.gravity
}

// stretch returns the extension [m] of the spring at rest under a load [N] at its
// lower end, and its derivative [m/N].
func (k *chain) stretch(load float64) (x, slope float64) {
	for i := range k.coils {
		dx, ds := k.law.extension(load + k.own(i))
		x += dx
		slope += ds
	}
	return x, slope
}

// shape fills u with the displacements at rest when the end is held at extension x.
func (k *chain) shape(u []float64, x float64) {
	load := 0.0
	for range 100 { // piecewise straight and monotone: Newton's way ends after a few
		have, slope := k.stretch(load)
		next := load + (x-have)/slope
		if next == load {
			break
		}
		load = next
	}
	at := 0.0
	for i := range k.coils {
		dx, _ := k.law.extension(load + k.own(i))
		at += dx
		u[i] = at
	}
	u[k.coils-1] = x
}

// endTension returns the elastic tension [N] in the lowest coil.
func (k *chain) endTension(u []float64) float64 {
	last := k.coils - 1
	if last == 0 {
		return k.law.force(u[0])
	}
	return k.law.force(u[last] - u[last-1])
}

// top returns the tension [N] at the support, damping included.
func (k *chain) top(u, v []float64) float64 {
	return k.law.force(u[0]) + k.damping*v[0] + k.support
}

// kinetic returns the kinetic energies [J] of bob and spring.
func (k *chain) kinetic(v []float64) (bob, spring float64) {
	last := k.coils - 1
	for _, w := range v[:last] {
		spring += w * w
	}
	end := v[last] * v[last]
	return k.bob * end / 2, k.bead*spring/2 + (k.end-k.bob)*end/2
}

// elastic returns the elastic energy [J].
func (k *chain) elastic(u []float64) float64 {
	sum, above := 0.0, 0.0
	for _, x := range u {
		sum += k.law.energy(x - above)
		above = x
	}
	return sum
}

// gravitational returns the gravitational energy [J] of bob and spring, from the floor.
func (k *chain) gravitational(u []float64) float64 {
	last := k.coils - 1
	sum := 0.0
	for _, x := range u[:last] {
		sum += x
	}
	return k.reference - k.bead*k.gravity*sum - k.weight*u[last]
}
