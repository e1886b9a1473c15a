// Package plan answers: how high must the support be, so that a bob let go on a spring
// comes down just so far?
//
// In: the bench as measured ([quantity.Bench]), from which extension the bob is let go
// at rest, the clearance wanted under its lowest point [m], and what spring and load
// cell bear ([Drop]). Out: a [Plan]: the height of the support, and what else to expect
// of the swing (period [s], largest speed [m/s], force at the support [N], extension
// [m]), each with its uncertainty; cautions; and how far to move the support, from the
// readings or, better, from the clearance seen in a trial.
//
// The fall follows from the balance of energies, with the start's own integral over the
// coils while some are still closed; the period from the exact eigenvalue of a uniform
// heavy spring ([EffectiveFraction]). It refuses a bob too light to open its spring and
// a release from below where the bob hangs at rest, from where it would rise.
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package plan
