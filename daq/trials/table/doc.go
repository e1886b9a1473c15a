// Package table answers: what do many trials say together, and do two groups of them
// differ?
//
// In: trials in order of time with the labels of their groups ([Trial]). Out: for each
// group and quantity the mean, its uncertainty and what stands out ([Column]); for each
// pair of groups the difference and what may be claimed of it ([Comparison]); the whole
// as data with a JSON form ([Table]) [SI units]. Trials that do not count are counted and
// left out; nothing else is.
//
// Two kinds of doubt are kept apart. The scatter of the trials (type A in the terms of
// JCGM 100) gets less with more of them. What the trials of a bench share, its
// calibration, masses and spring rate, shifts them all alike: it stays in the mean as it
// is, and cancels from a comparison as far as both groups share it.
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package table
