// Package timing answers: by how much does the force lag behind the distance?
//
// In: heights [m] and forces [N] with their instants [ns] ([motion.Series]), of a bob that
// swings freely ([FromSwing]), or of the spring's lower end moved to and fro by hand with
// nothing hung on it ([FromStrokes]). Out: the lag [s] of each run, and of all runs
// together ([Combine]), with standard uncertainty and doubts.
//
// Two things look like a lag. Whatever brakes the bob in step with its velocity feigns up
// to 2 g/w^2 in a swing of angular frequency w that decays at the rate g; how much of the
// decay that is, between none and all, is not known from one run. For viscous drag it is
// the same with any mass, for drag that grows faster it falls with the amplitude. A spring
// that brakes inside itself in step with the velocity feigns its own, in strokes too. Runs
// that differ in this, and strokes, where no bob meets the air, tell it apart.
//
// A jump does not do: at a release, or when the bob strikes a stop, the force at the
// support changes through the coils, later by sqrt(m_s/k) and in steps; on a thread in
// place of the spring the bob rebounds, which shifts the mean force by v(1+e)/g, against
// the s/v that the distance's deviation s needs: with half a millimetre both are 7 ms at
// best. Half a minute of strokes comes to 0.13 ms.
//
// It refuses what [motion.FindDelay] does, and strokes too few or too gentle.
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package timing
