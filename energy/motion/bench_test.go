package motion

import (
	"fmt"
	"testing"
)

// One answer, beside the floor: the sums for a cubic over as many points, which no
// least-squares estimator can do without.
func BenchmarkAt(b *testing.B) {
	for _, rate := range []float64{25, 80, 1000} {
		for _, outliers := range []bool{false, true} {
			s := sample(swing(0.1, 0.8), rate, 2, noise, 18)
			if outliers {
				s.spoil(func(i int) bool { return i%31 == 20 }, func() float64 { return 0.3 })
			}
			l := newLive(b, LiveOptions{})
			for i := range s.times {
				if err := l.Add(s.times[i], s.positions[i]); err != nil {
					b.Fatal(err)
				}
			}
			middle := s.times[len(s.times)/2:][:len(s.times)/4]
			b.Run(fmt.Sprintf("rate=%g/outliers=%t", rate, outliers), func(b *testing.B) {
				b.ReportAllocs()
				for i := 0; b.Loop(); i++ {
					l.At(middle[i%len(middle)])
				}
			})
			if outliers {
				continue
			}
			_, _, q := l.At(middle[0])
			at, x := make([]float64, q.Points), make([]float64, q.Points)
			for i := range at {
				at[i], x[i] = float64(i)/float64(q.Points), s.positions[i]
			}
			b.Run(fmt.Sprintf("rate=%g/floor=moments-of-%d", rate, q.Points), func(b *testing.B) {
				var m moments
				for b.Loop() {
					m.addCubic(at, x)
				}
			})
		}
	}
}
