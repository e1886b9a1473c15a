package air

import "joulewell/energy"

// Density returns the density [kg/m3] of the air by CIPM-2007, whose own relative
// standard uncertainty is 2.2e-5.
func (s State) Density() (energy.Estimate, error) {
	return s.propagate(func(x [4]float64) float64 { return cipm(x[0], x[1], x[2], x[3]) }, 2.2e-5)
}

// cipm is the formula in t [Cel], p [Pa], relative humidity and the mole fraction c of
// carbon dioxide: p M/(Z R T), with M/R [kg K/J] of the dry mixture as the formula prints
// it, and the compressibility Z.
func cipm(t, p, humidity, c float64) float64 {
	kelvin := t + 273.15
	w := vapour(t, p, humidity)
	ratio := p / kelvin
	z := 1 - ratio*(1.58123e-6-2.9331e-8*t+1.1043e-10*t*t+
		(5.707e-6-2.051e-8*t)*w+(1.9898e-4-2.376e-6*t)*w*w) +
		ratio*ratio*(1.83e-11-0.765e-8*w*w)
	return (3.483740 + 1.4446*(c-0.0004)) * 1e-3 * ratio / z * (1 - 0.3780*w)
}
