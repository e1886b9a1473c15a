package masses

import "joulewell/energy"

// Density returns the density [kg/m3] of a material that check masses are made of, for
// pieces whose own nobody has measured. Values and half of the expanded uncertainties of
// OIML R 111-1, table B.7 (from memory).
func Density(material string) (energy.Estimate, bool) {
	switch material {
	case "aluminium":
		return energy.Estimate{Value: 2700, U: 65}, true
	case "brass":
		return energy.Estimate{Value: 8400, U: 85}, true
	case "stainless steel":
		return energy.Estimate{Value: 7950, U: 70}, true
	case "carbon steel":
		return energy.Estimate{Value: 7700, U: 100}, true
	case "cast iron":
		return energy.Estimate{Value: 7100, U: 300}, true
	}
	return energy.Estimate{}, false
}
