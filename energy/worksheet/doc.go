// Package worksheet answers: what is asked of a student who works out by hand where the
// joules of a drop are, and what would be right?
//
// In: readings of a bench and of two states of the bob, as [balance.Readings], and the
// instructor's [Choice] of what to print and what to ask. Out: a [Sheet], which holds the
// readings as printed and the blanks to fill, and its [Key]: for each blank the right
// figure and the interval that honest rounding allows [SI]. The key starts from what is
// printed and from nothing else. Both are data with a JSON form and a plain text.
//
// The books are those of a light spring with every coil open:
//
//	extension        X = L - L0
//	elastic          k X²/2 + F0 X
//	gravitational    M g h + m_s g (H - L/2), from the floor
//	kinetic          (M + m_s/3) v²/2
//
// and a term whose reading is not printed is not asked for. Honest rounding: readings
// and results on the way may be rounded to three significant digits or finer, or to the
// digits of what they were worked out from: as many significant digits as the factor
// with the fewest, as many places as the coarsest term. Where the instructor asks for
// more than three, they are to be kept even where a reading has fewer: the loss is a
// small difference of large totals, and three digits may drown it. Any order of the
// operations is as good as another ([Working]).
//
// It refuses benches that cannot be, readings nobody took, and results that cannot be
// worked out from what is printed.
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package worksheet
