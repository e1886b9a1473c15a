package virtual

import (
	"math"
	"testing"
)

// plain returns a bench with nothing but a bob on a spring, let go at once and never
// caught, far above the floor.
func plain(ratio float64) Config {
	c := Lossless()
	c.Spring = Spring{NaturalLength: 0.12, Rate: 25, Coils: 40}
	c.Bob = Bob{Mass: 0.25, Length: 0.06}
	c.Spring.Mass = ratio * c.Bob.Mass
	c.Support = 3
	c.Gravity = 9.80665
	c.Hand = Hand{}
	return c
}

func rigOf(t testing.TB, c Config) *Rig {
	t.Helper()
	r, err := NewRig(c)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// near fails the test unless |got - want| <= tol.
func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g within %.2g (off by %.3g)", what, got, want, tol, got-want)
	}
}

// turning returns the next instant [ns] after from at which the bob's velocity
// changes sign, found to a nanosecond, looking every stride [ns]; -1 if there is none
// within a thousand strides.
func turning(r *Rig, from, stride int64) int64 {
	was := r.At(from).Velocity
	for t := from + stride; t < from+1000*stride; t += stride {
		now := r.At(t).Velocity
		if was != 0 && was*now <= 0 {
			low, high := t-stride, t
			for high-low > 1 {
				middle := (low + high) / 2
				if r.At(middle).Velocity*was > 0 {
					low = middle
				} else {
					high = middle
				}
			}
			return high
		}
		was = now
	}
	return -1
}
