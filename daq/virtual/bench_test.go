package virtual

import (
	"fmt"
	"testing"
)

// The floor is a bare loop of as many multiplications and additions as the beads of a
// lossless step need: seven passes of two multiplications and four additions a bead.
func BenchmarkFloorOfAStep(b *testing.B) {
	var u, v [40]float64
	u[0] = 1
	for b.Loop() {
		for range 7 {
			for i := range u {
				w := v[i] - (0.01 + 0.1*(u[i]-0.5))
				v[i] = w
				u[i] += 0.1 * w
			}
		}
	}
	if u[0] == 1 {
		b.Fatal("the loop has been left out")
	}
}

func BenchmarkStep(b *testing.B) {
	for _, c := range []struct {
		name  string
		shape func(*Config)
	}{
		{"lossless", func(c *Config) { c.Losses = Losses{} }},
		{"default", func(*Config) {}},
		{"closing coils", func(c *Config) { c.Spring.InitialTension = 0.3 }},
		{"massless", func(c *Config) { c.Spring.Mass = 0 }},
	} {
		b.Run(c.name, func(b *testing.B) {
			cfg := Default()
			cfg.Hand = Hand{}
			c.shape(&cfg)
			r := rigOf(b, cfg)
			b.ReportAllocs()
			at := int64(0)
			for b.Loop() {
				at += r.step
				r.advance(at)
			}
			b.ReportMetric(float64(at)/float64(b.Elapsed().Nanoseconds()), "x-real-time")
		})
	}
}

func BenchmarkDevice(b *testing.B) {
	for _, c := range []Config{Default(), Quiet(100), Quiet(1000), Random(5)} {
		b.Run(fmt.Sprintf("%s-%.0f", c.Name, c.Ranger.Rate), func(b *testing.B) {
			d, err := New(c)
			if err != nil {
				b.Fatal(err)
			}
			b.ReportAllocs()
			last := int64(0)
			for b.Loop() {
				_, last, _ = d.Next()
			}
			b.ReportMetric(float64(last)/float64(b.Elapsed().Nanoseconds()), "x-real-time")
		})
	}
}
