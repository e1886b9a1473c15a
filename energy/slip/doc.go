// Package slip answers: where did a student's sums leave the right way?
//
// In: a [worksheet.Sheet] and what the student wrote in its blanks, each figure with its
// unit ([Hold]). Out: a [Report]: for each blank a verdict, and the slips found, each
// named once with a hint where to look. A hint never holds a value.
//
// A figure is right if honest rounding leads to it, from what is printed on the sheet or
// from the student's own earlier figures; what is worked out rightly from a wrong figure
// follows from it and is not held against the student. Any other figure is worked out
// again with each of the known slips ([Kinds]) and with each pair of them, from the
// student's own earlier figures and with the same rounding. A slip is named only if it
// leads to the figure and nothing simpler or equally simple does, simplest being what
// explains the whole sheet with the fewest kinds of slip. Where several are equally
// simple all are told, and which could not be decided; where so much may have gone wrong
// behind a figure that slips would explain many others as well, none is named. A slip
// that changes a figure by no more than rounding may cannot be seen.
//
// It refuses figures that are no numbers, have no unit or a wrong one, and blanks that
// are not on the sheet ([FigureError]).
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package slip
