// Package loads answers: which force does a converter's count mean, judged by check
// masses hung on the load cell?
//
// In: readings [counts] with the loads that hung meanwhile, in the order they were taken,
// and the masses they were made of ([Job]). Out: zero [counts], span [N/count] and, where
// the readings ask for it, a quadratic term, with their covariance and what they share
// with other results through masses and gravity; repeatability, reversibility,
// non-linearity, return of zero and creep [N]; the standard uncertainty [N] of a force as
// a function of the load ([Result]); and doubts.
//
// The model of a reading is
//
//	counts = zero + drift (t - t_last) + b F + c F^2 +- half the reversibility at its load
//
// the last for loads that were reached both from below and from above, so that the curve
// is the mean of both. Masses, densities, air and gravity are no scatter: each moves all
// the loads it is part of together, and so it does here (see [masses.Set.Sources]).
//
// It refuses fewer than three different loads, tare included, readings that are not
// steady, and loads that do not go with the capacity or the stated span. Characteristics
// are named as in ISO 376 and ASTM E74 and stated as fractions of capacity and of the
// largest load; neither standard's classes are earned by them, for neither its loads nor
// its mountings were kept.
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package loads
