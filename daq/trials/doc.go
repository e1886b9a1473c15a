// Package trials answers: when was the bob let go, when was the trial over, and does it
// count?
//
// In: the frames of a bench one by one, and the rows of a finished trial. Out: an [Event]
// for each release and for each end, from a [Watcher] that needs no hand on the keyboard;
// then [Work], which judges the trial ([Finding]) and sums it up in one [Row] [SI units].
//
// A bob that nobody holds obeys Newton's second law: what force at the top less weight
// gives in impulse, bob and spring gain in momentum. While a hand carries it the two
// differ by the hand's pull. That tells a release from a bob raised by hand, from a hand
// in the beam, which moves the distance and not the force, and from noise, which moves
// nothing. Where distances come too slowly for a velocity, three of them tell the same.
// No spring law goes into it where there is a load cell; without one the law takes the
// force's place.
//
// A trial is judged by how its swing departs from the spring law: it begins wider than
// the bob was held (a push), its velocity jumps at the floor, its distances waver at
// twice the pendulum's frequency (sway). The law serves to recognise, never to measure:
// no number of a [Row] but those about a push comes of it.
//
// It refuses setups that cannot be. A bad trial is not thrown away: it is marked, each
// reason in a sentence, and the person may overrule.
package trials
