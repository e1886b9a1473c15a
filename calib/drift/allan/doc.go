// Package allan answers: how long is it worth averaging, and from when on does the zero
// walk?
//
// In: readings of a sensor at rest, evenly spaced ([Log]), or one by one as they come
// ([Stream]). Out: their Allan deviation at averaging times an octave apart, with
// confidence intervals ([Deviation]), and what follows from it ([Advice]). The deviation
// has the unit of the readings. For readings that are independent it is the standard
// uncertainty of their mean over the averaging time; where it stops falling, longer
// averaging gains nothing; where it rises again, the sensor has drifted between one mean
// and the next.
//
// It refuses readings that are not numbers, that come out of order or unevenly, too few,
// and readings all alike (the resolution hides the noise). A gap splits a log into
// stretches; differences are never taken across one.
//
// Source of the formulas: W. J. Riley, Handbook of Frequency Stability Analysis, NIST
// Special Publication 1065 (2008), whose 'fractional frequency' are the readings here and
// whose 'phase' are their running sums. The package is pure.
package allan
