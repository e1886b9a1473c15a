// Package quantity answers: how well is a quantity known that somebody read by hand?
//
// In: text as a person writes it, "71.2cm", "71,2 cm read to 1mm", "25 N/m +- 1%"
// ([Parse]), or a place on the ground for its gravity ([Gravity]). Out: a [Quantity],
// which is an estimate in coherent SI units with its standard uncertainty, its degrees
// of freedom and a word for how the uncertainty was got. Formulas of such quantities
// are carried through to results with a budget ([Propagate]) or drawn for Monte Carlo
// ([Draw]); [Kind] writes results down again with no more digits than are known. The
// readings that describe a bench are collected in [Bench]. [Table] reads tables of them.
//
// It refuses text without a unit, units of another kind, and whatever is not a finite
// number with an uncertainty above zero: no reading is exact.
//
// Terms are those of the Guide to the Expression of Uncertainty in Measurement (JCGM
// 100:2008) and its supplement 1 (JCGM 101:2008). The package is pure: no input or
// output, no clock, no goroutine, no global; random bits come from the caller.
package quantity
