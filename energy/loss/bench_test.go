package loss

import (
	"math/rand/v2"
	"testing"
)

// BenchmarkTurningPoints finds the turns of an hour at 1000 samples a second; its floor
// is one look at every sample.
func BenchmarkTurningPoints(b *testing.B) {
	s := swing{neutral: 0.11, amplitude: 0.05, decay: 1e-5, omega: 9}
	samples := s.noisy(rand.New(rand.NewPCG(1, 1)), 1000, 3600, 1e-4, 5e-3)
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			var sum float64
			for i := range samples {
				sum += samples[i].Velocity.Value
			}
			if sum == 0 {
				b.Fatal("no velocities")
			}
		}
	})
	b.Run("turns", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := TurningPoints(samples, Options{}); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkCompare fits all models to 20 cycles and to an hour of turning points; its
// floor is the prediction of one model.
func BenchmarkCompare(b *testing.B) {
	rng := rand.New(rand.NewPCG(1, 2))
	for name, n := range map[string]int{"20 cycles": 40, "an hour": 10000} {
		parameters := half(viscousQuadratic, 0.3, n)
		record := turned(rng, viscousQuadratic, 0.05, parameters, n, 1e-4)
		b.Run(name+"/floor", func(b *testing.B) {
			for b.Loop() {
				viscousQuadratic.Amplitudes(0.05, parameters, n)
			}
		})
		b.Run(name+"/models", func(b *testing.B) {
			for b.Loop() {
				if _, err := Compare(record); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkLoops measures 1000 cycles at 1000 readings a second; its floor is one look
// at every point.
func BenchmarkLoops(b *testing.B) {
	points := readings(rand.New(rand.NewPCG(1, 3)), 1000, 1000, 0, channels, lossless)
	record := cycles(1000)
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			var sum float64
			for i := range points {
				sum += points[i].Force
			}
			if sum == 0 {
				b.Fatal("no forces")
			}
		}
	})
	b.Run("loops", func(b *testing.B) {
		for b.Loop() {
			if _, err := Loops(points, record, channels); err != nil {
				b.Fatal(err)
			}
		}
	})
}
