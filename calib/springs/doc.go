// Package springs answers: which force does this spring pull with when it is so long?
//
// Three ways lead to its rate k [N/m], two of them to its initial tension F0 [N] as well,
// both in the sense of [energy.Apparatus.Equilibrium]:
//
//   - [Hanging]: lengths [m] under check masses;
//   - [Pull]: extension [m] and force [N] while it is drawn slowly and let back, which
//     yields the curve of force over extension too, and the work [J] the spring keeps;
//   - [Swings]: periods [s] with several masses, by the exact frequency of a uniform
//     heavy spring.
//
// Each gives a [Result] with covariance, in which the inputs that the ways share (masses,
// gravity, the rule) go by name; [Compare] holds them against each other by normalised
// errors that know what they share.
//
// Readings with coils still closed follow no straight line. They are left out by evidence
// and the person is told: where the lowest loads stretch the spring more than the line of
// the others would have it, and the others do lie on a line.
//
// It refuses loads that do not differ, springs that shorten under load, readings that are
// not steady, and sizes that only a mistaken unit explains.
//
// A stretched spring stores what hurts: keep eyes out of its line, catch what hangs on it
// by a slack cord, and follow the rules of the institution.
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package springs
