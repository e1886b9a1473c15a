package allan

import (
	"math/rand/v2"
	"testing"
)

func tenMillion() []float64 {
	r := rand.New(rand.NewPCG(1, 2))
	y := make([]float64, 10_000_000)
	for i := range y {
		y[i] = r.NormFloat64()
	}
	return y
}

// All octaves of ten million readings (a day at 115 a second), beside the floor: one plain
// pass that sums their squares.
func BenchmarkOctavesOfTenMillion(b *testing.B) {
	y := tenMillion()
	b.Run("floor", func(b *testing.B) {
		var sum float64
		for b.Loop() {
			for _, v := range y {
				sum += v * v
			}
		}
		if sum == 0 {
			b.Fatal("nothing summed")
		}
	})
	b.Run("octaves", func(b *testing.B) {
		for b.Loop() {
			l, err := NewLog(0.01, y)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := l.Octaves(0.95); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// One reading into the stream.
func BenchmarkStreamAdd(b *testing.B) {
	var s Stream
	b.ReportAllocs()
	x := 0.5
	for b.Loop() {
		x = 3.9 * x * (1 - x)
		s.Add(x)
	}
}

func TestStreamKeepsNoMemory(t *testing.T) {
	var s Stream
	if n := testing.AllocsPerRun(1000, func() { s.Add(1) }); n != 0 {
		t.Errorf("%g allocations a reading", n)
	}
}
