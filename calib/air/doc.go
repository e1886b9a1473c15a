// Package air answers: how fast is sound in the air of this room, and how much does the
// air bear up a piece of metal?
//
// In: a [State] of temperature [Cel], pressure [Pa], relative humidity [1] and mole
// fraction of carbon dioxide [1], each with its standard uncertainty. What is not known
// is left out (the zero value of [State] but for the temperature, or [energy.None]) and
// stands for the middle of what rooms hold, with an uncertainty to match. Out: speed of
// sound [m/s] and density [kg/m3] with standard uncertainties, those of the formulas
// included.
//
// It refuses states outside of the formulas' range.
//
// Sources: Cramer, The variation of the specific heat ratio and the speed of sound in
// air, J. Acoust. Soc. Am. 93 (1993) 2510; Picard, Davis, Glaeser, Fujii, Revised formula
// for the density of moist air (CIPM-2007), Metrologia 45 (2008) 149.
package air
