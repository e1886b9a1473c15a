package virtual

import (
	"math"
	"testing"
)

// Users of chance, and neighbouring seeds, draw numbers that have nothing to do with
// each other.
func TestStreams(t *testing.T) {
	const n = 4000
	draw := func(seed uint64, user string) []float64 {
		rng, x := stream(seed, user), make([]float64, n)
		for i := range x {
			x[i] = rng.NormFloat64()
		}
		return x
	}
	first := draw(1, "ranger")
	scatters(t, "draws", first, 1)
	for _, other := range [][]float64{draw(1, "load cell"), draw(2, "ranger"), draw(0, "ranger"), draw(1<<40, "ranger")} {
		sum := 0.0
		for i := range other {
			sum += first[i] * other[i]
		}
		near(t, "correlation", sum/n, 0, 4/math.Sqrt(n))
	}
	var starts []float64 // first draws of neighbouring seeds
	for seed := range uint64(n) {
		starts = append(starts, stream(seed, "ranger").NormFloat64())
	}
	scatters(t, "first draws", starts, 1)
	near(t, "the same draw again", draw(1, "ranger")[7], first[7], 0)
}
