package loss

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The linear sum against the double sum it stands for.
func TestAlikeAgainstDoubleSum(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 3))
	for _, memory := range []float64{1e-9, 0.02, 0.3, 5, 1e4} {
		var at, z []float64
		now := 1e5
		for range 200 {
			now += 0.02 * rng.Float64()
			at, z = append(at, now), append(z, rng.NormFloat64())
		}
		var want float64
		for i := range z {
			for j := range z {
				want += z[i] * z[j] * max(0, 1-math.Abs(at[i]-at[j])/memory)
			}
		}
		near(t, "variance", alike(at, z, memory), want, 1e-7*(want+1))
	}
}
