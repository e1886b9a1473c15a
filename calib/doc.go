// Package calib answers: what do this sensor's raw numbers mean, and how surely?
//
// In: raw indications (echo time, millimetres, converter counts). Out: metres and
// newtons with standard uncertainties, by a [Calibration] that says when and how it
// was obtained. It refuses indications that are not finite and calibrations that
// cannot be (a scale of zero, a negative uncertainty); it never guesses a missing
// calibration.
package calib
