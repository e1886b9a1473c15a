// Package fit answers: which number does a set of readings give, and how uncertain is
// it?
//
// In: pairs of readings with their standard uncertainties ([Point]), repeated
// readings, or the inputs of a formula with their sensitivity coefficients
// ([Input]). Out: calibration curves with covariance ([Curve]), an uncertainty
// budget ([Budget]), a distribution by Monte Carlo ([Distribution]), a test for one
// outlier ([Grubbs]) and one for two means ([Welch]), a weighted mean with its consistency
// ([Agree]); and, where readings or results have uncertain inputs in common, a
// fit that knows it ([Regression]) and estimates that keep those inputs by name, so that
// a comparison can take off what is shared ([Joint], [NormalisedDifference]). Terms and symbols are those of the Guide to the Expression of
// Uncertainty in Measurement (JCGM 100:2008, 'GUM') and its supplement 1 (JCGM
// 101:2008). The units of x and y are the caller's; results come in the same.
//
// It refuses data that do not determine what is asked for: too few points, a single
// x repeated, values that are not numbers, uncertainties of zero where they are
// weights. It never drops a reading and never rescales a stated uncertainty.
//
// The package is pure: no input or output, no clock, no goroutine, no global; random
// numbers come from the caller.
package fit
