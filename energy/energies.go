package energy

// Energies are the four energies of one instant, with standard uncertainties.
type Energies struct {
	Kinetic       Estimate // [J] of bob and spring: (M + m_s/3) v^2 / 2
	Elastic       Estimate // [J] of the spring
	Gravitational Estimate // [J] of bob and spring, from the reference level
	Total         Estimate // [J] their sum; its uncertainty is propagated as a whole, inputs are shared
}

// NoEnergies is what stands where there is no reading.
func NoEnergies() Energies { return Energies{None(), None(), None(), None()} }
