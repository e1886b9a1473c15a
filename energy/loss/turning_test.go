package loss

import (
	"math"
	"math/rand/v2"
	"testing"
)

// 95 % intervals of times and extensions against the turns of the signal itself.
func TestTurningPointsHoldTheTruth(t *testing.T) {
	runs := 60
	if testing.Short() {
		runs = 12
	}
	const end = 15.0
	for _, c := range []struct {
		name string
		make func(s swing, rng *rand.Rand) []Sample
	}{
		{"independent deviations, 80 a second", func(s swing, rng *rand.Rand) []Sample {
			return s.noisy(rng, 80, end, 2e-4, 5e-3)
		}},
		{"independent deviations, 20 a second", func(s swing, rng *rand.Rand) []Sample {
			return s.noisy(rng, 20, end, 2e-4, 5e-3)
		}},
		{"extension and velocity related, 12 a second", func(s swing, rng *rand.Rand) []Sample {
			return s.related(rng, 12, end, 2e-4, 1e-2, -0.9)
		}},
		{"running cubic over 11 readings, 80 a second", func(s swing, rng *rand.Rand) []Sample {
			return s.smoothed(rng, 80, end, 4e-4, 5)
		}},
		{"running cubic over 5 readings, 40 a second", func(s swing, rng *rand.Rand) []Sample {
			return s.smoothed(rng, 40, end, 4e-4, 2)
		}},
		{"running cubic over 71 readings, 1000 a second", func(s swing, rng *rand.Rand) []Sample {
			return s.smoothed(rng, 1000, end, 4e-4, 35)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(11, 12))
			var times, places hits
			for range runs {
				s := bench(rng)
				samples := c.make(s, rng)
				found, err := TurningPoints(samples, Options{})
				if err != nil {
					t.Fatal(err)
				}
				at, x := s.turns(end)
				if len(found.Lost) > 0 {
					t.Fatalf("lost %+v", found.Lost)
				}
				if n := len(found.Points); n < len(at)-2 || n > len(at) {
					t.Fatalf("%d turning points, the signal has %d", n, len(at))
				}
				for _, p := range found.Points {
					i := nearest(at, p.T.Value)
					times.add(p.T, at[i])
					places.add(p.Extension, x[i])
				}
			}
			times.check(t, "time")
			places.check(t, "extension")
		})
	}
}

func nearest(values []float64, v float64) int {
	best := 0
	for i := range values {
		if math.Abs(values[i]-v) < math.Abs(values[best]-v) {
			best = i
		}
	}
	return best
}
