package virtual

import (
	"hash/fnv"
	"math/rand/v2"
)

// stream returns a source of random numbers of its own for each user of chance, so
// that one fault more or less changes no other draw.
func stream(seed uint64, user string) *rand.Rand {
	h := fnv.New64a()
	h.Write([]byte(user))
	return rand.New(rand.NewPCG(scatter(seed), scatter(h.Sum64()^seed)))
}

// scatter spreads neighbouring seeds over all bits (the finishing steps of MurmurHash3,
// from memory).
func scatter(x uint64) uint64 {
	x ^= x >> 33
	x *= 0xff51afd7ed558ccd
	x ^= x >> 33
	x *= 0xc4ceb9fe1a85ec53
	return x ^ x>>33
}
