// Package balance answers: was mechanical energy lost between two states of a bob on a
// spring, as far as readings by hand can tell?
//
// In: a bench as measured with rule and balance ([quantity.Bench]) and two states of
// the bob, each by the height of its lowest point [m] or the length of the spring [m],
// with a speed [m/s] where it was not at rest ([Readings]). Out: a [Comparison]: the
// energies of both states line by line [J], the loss with its expanded uncertainty and
// budget, a verdict in one sentence, readings that contradict each other, and what to
// measure better.
//
// The loss is propagated as a difference: a reading that both states share enters it
// once, by what it does to the difference. The rule on which all lengths were read may
// be an input of its own. What a light spring's coils hide is a line of its own too
// (see [loss.CoilWave]).
//
// It refuses benches and states that cannot be: a spring shorter than its natural
// length or a bob below the floor by more than the readings' uncertainty allows. It
// never assumes that energy is conserved.
//
// The package is pure: no input or output, no clock, no goroutine, no global; random
// bits come from the caller.
package balance
