// Package virtual answers: what would a bench's device send, and what was true
// meanwhile?
//
// In: a [Config], which says how apparatus, sensors, device and line truly are [SI
// units unless a comment says otherwise], what goes wrong (see [Faults]), and a seed.
// Out: the bytes of a device with the true times [ns] at which they reach the host
// ([Device]), the truth at any instant ([Rig], [Truth]: motion, every energy, every
// loss, the hand's work), line by line what was meant and what was true ([Sample]),
// and what the people at such a bench would know of it ([Setup]).
//
// It refuses benches that cannot be and faults that it does not know. It knows no wall
// clock: time is true time since the start, and the same Config gives the same bytes.
//
// # Model
//
// The spring is a chain of coils between beads: springs in series, each with its own
// extension, so that waves run along it. Without initial tension a coil follows one
// straight line, pushed or pulled. With it a coil is closed until it carries the initial
// tension, and a closed coil is a stiff contact without loss. Lateral motion, twist and
// the stiffness of the support are left out; sway is an effect on the ranger only.
//
// The bob loses energy to viscous and quadratic drag, to sliding friction, which can
// hold it, and to the floor; the spring loses it inside its coils, in proportion to
// their rate of extension (Kelvin-Voigt). The hand holds, releases, catches and carries
// the bob. Each has an account, and the accounts close but for the integration:
// [Truth.Unexplained].
//
// The conservative part is integrated by a symplectic splitting of fourth order, the
// losses around it by exact or implicit parts of their own. An impact is found to the
// instant. Steps lie on a grid that does not depend on who looks.
//
// # Sensors
//
// Sound leaves the ranger at the stamp of its line and meets the bob on its way, half
// an echo later; its speed follows the air's temperature by ISO 9613-1. The load cell
// states the mean tension at the spring's top over four conversions. Stamps are those of
// the device's clock, arrival times those of the line: bit rate, latency timer, jitter.
package virtual
