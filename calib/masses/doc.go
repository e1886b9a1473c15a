// Package masses answers: which force does a check mass exert where it hangs?
//
// In: the [Piece]s of a [Set] with their masses [kg] and densities [kg/m3], local gravity
// [m/s2] and the density of the air [kg/m3], each with its standard uncertainty. Out:
// forces [N] and masses [kg] of loads made of several pieces, and, as [fit.Source]s,
// what each uncertain input does to any number worked out from them: a piece that hung
// in several loads was wrong in all of them alike.
//
// It refuses pieces it does not know, the same piece twice in one load, and masses of a
// size that only a mistaken unit explains.
//
// Terms are those of OIML D 28 (conventional value of the result of weighing in air).
package masses
