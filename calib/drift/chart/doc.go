// Package chart answers: has this row of values moved away from where it was?
//
// In: values in order of time, in any unit, and the [Level] they had while all was
// well. Out: whether one of three control charts signals, on which side, and from which
// value on ([Signal]); how long each chart runs on average before it does
// ([RunLengths]). The spacing in time does not matter.
//
// The rules in plain words, with the constants of a [Plan]:
//
//   - [Single]: one value lies more than Limit standard deviations off the mean.
//   - [Average]: the exponentially weighted mean lies beyond its limits.
//   - [Sum]: the excess over Slack, summed up while it stays positive, passes Decision.
//
// The first sees a large jump at once, the other two a small lasting one that no single
// value betrays. The charts take the values as independent and normal. Values that wander,
// as a zero does at long averaging times, signal more often than the run lengths say; so
// do values held against a level learnt from few.
//
// It refuses values that are not numbers, too few of them, and values all alike. A chart
// goes on after a signal; it starts afresh only with a new one.
//
// Terms: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.
package chart
