// Package energy answers: how many joules are where, on a bob that hangs from a
// spring?
//
// In: an [Apparatus] (masses, lengths, the spring's law, local gravity, each with
// its standard uncertainty) and a [State] (height of the bob and its velocity).
// Out: kinetic, elastic, gravitational and total energy with their standard
// uncertainties. It refuses an apparatus that cannot exist (see
// [Apparatus.Check]) and never assumes that energy is conserved: nothing here
// knows what the total was a moment ago.
//
// Everything is in coherent SI units. Heights are counted upward from the floor,
// extension downward from the spring's natural length. The formulas and their
// limits are derived in DEVELOPERS.md, part "Model".
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package energy
