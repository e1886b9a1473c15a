// Package motion answers: where is the bob and how fast does it move, judged from
// measured positions alone?
//
// In: positions [m] with the instants [ns] they hold for, at any spacing, and the
// standard deviation [m] of one of them. Out: position [m] and velocity [m/s] at an
// asked instant, each with its standard uncertainty, and how they were got
// ([Quality]).
//
// The only thing assumed is that the bob has mass: over a short while its path is close
// to a polynomial of low degree. How short, and how low, the points themselves tell. No
// spring law, no sinusoid and no conservation of energy enters, for the energies made
// from these numbers are there to test exactly that. Nothing is carried from one answer
// to the next either: a live answer is a function of the points of two seconds, so a
// second estimator that was fed those points only gives the same bits.
//
// It refuses points out of order and values that are not numbers, and answers NaN
// where points are too few or a gap is too long, rather than bridge it.
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package motion
