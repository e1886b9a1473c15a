// Package figure answers: what does a run look like on paper?
//
// In: an [analysis.Run]. Out: SVG files in a folder, for each swing its energies over time
// with bands of their expanded uncertainty (k = 2), its ledger by cycle, its
// force-extension loops, and the residuals of the motion fit. Colours are told apart by
// colour-blind people too, and every line has a dash or a place of its own besides.
// Figures that nothing is known for are not written. It computes nothing.
package figure
