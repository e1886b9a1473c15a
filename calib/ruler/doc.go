// Package ruler answers: where does the distance sensor stand, and how long is its metre,
// judged by a rule?
//
// In: at three places or more the height [m] of the bob's lowest point by the rule and
// what the sensor said, an echo [us] or a distance [mm] ([Job]). Out: offset [m] and scale
// [1] of
//
//	height = offset + scale d   seen from the floor
//	height = offset - scale d   seen from the support
//
// with their covariance ([Result]), d being half the echo's time times the speed of sound,
// or the stated distance. Readings of rule and sensor are both uncertain, each for itself;
// what moves all of them together, the speed of sound, the rule's own length and where
// its foot stood, is no scatter and weighs no point: it is added afterwards, by name.
//
// A scale found by echoes goes with the speed of sound it was found with: an error of that
// speed is taken up by the scale and comes back only as far as the air of a later day
// differs. The named source "speed of sound" carries it.
//
// It refuses fewer than three places, distances that fall where they should rise, readings
// that are not steady and sizes that only a mistaken unit explains.
//
// The package is pure: no input or output, no clock, no goroutine, no global.
package ruler
