// Package loss answers: where did the joules go between two turning points of a
// swing, and how surely?
//
// In: samples of the finished run ([Sample]: time [s], extension [m] and velocity
// [m/s], each with its standard uncertainty), and force against extension
// ([Point]). Out, each by its own route:
//
//   - [TurningPoints]: where and when the bob turned, from the samples alone;
//   - [Compare]: which decay model the turning points tell of, or that they cannot
//     tell, with the evidence and the work each kind of friction took;
//   - [Loops]: what the spring did not give back, from the closed integral of force
//     over extension;
//   - [Drag]: what the air can have taken, from the bob's size;
//   - [CoilWave]: what only seems lost, because a wave runs in the coils;
//   - [Balance]: the books that put all of these side by side and show what is left
//     over.
//
// No spring law, no sinusoid and no conservation of energy is used to find a
// turning point: the books are there to test exactly that. A turning point that
// falls into a gap is reported as lost and never invented. The decay models and the
// books do use the spring's rate; they come after the measurement.
//
// It refuses samples out of order, uncertainties of zero, records without a swing,
// and a force channel too slow for the motion is named as such. No result holds a
// NaN; what cannot be told is left out and the reason given in words.
//
// Viscous loss inside the spring and viscous drag of the air make the same
// amplitudes: only the loop of force over extension tells them apart.
//
// Lengths count as extension, positive downward; the bob is lowest where the
// extension is largest. Everything is in coherent SI units. The package is pure: no
// input or output, no clock, no goroutine, no variable state.
package loss
