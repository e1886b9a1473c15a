// Package analysis answers: what did a finished run show, and where did its joules go?
//
// In: the rows of a run (raw columns and times) and the setup of its bench. Out: a
// [Run] with its [Swing]s, one for each release, each with motion, energies [J], turning
// points, decay, force-extension loops, and books that close, all with standard
// uncertainties, and notes in words on what could not be told.
//
// It does what the live pipeline cannot: the window in which the motion is fitted is
// chosen from the whole run, reaches to both sides alike, and lags behind nothing.
// Distances stand at the instants at which the sound met the bob, forces at their
// stamps less the converter's delay.
//
// Only free swings count: from a release, the bob held at rest and then moving, until it
// rests again. Where it is held or carried is left out. A new epoch ends a swing; a
// silence does not, for turning points lost in it can be counted. A bob that did not leave
// the hand at rest, as far as readings there can tell, was pushed: books then begin at the
// first turning point, for the hand's work is not known.
//
// It refuses setups that cannot be and runs without a swing, and says in one sentence
// why. No result holds a NaN: what is not known is a nil pointer or an empty list.
package analysis
