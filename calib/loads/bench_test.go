package loads

import (
	"fmt"
	"math"
	"math/rand/v2"

	"joulewell/calib/masses"
	"joulewell/energy"
)

// bench is a simulated load cell with its check masses: what is true, and what the
// people there know.
type bench struct {
	span, bend float64 // [N/count], [N/count2]
	zero       float64 // [counts]
	drift      float64 // [counts/s]
	noise      float64 // [counts]
	hysteresis float64 // [counts] between up and down at half load
	steps      int
	rounds     int
	seed       uint64
}

func usual(seed uint64) bench {
	return bench{span: 2e-5, zero: -184223, drift: 0.02, noise: 12, hysteresis: 40, steps: 5, rounds: 2, seed: seed}
}

// counts is what the cell shows under a force: the inverse of span n + bend n^2.
func (b bench) counts(force float64) float64 {
	if b.bend == 0 {
		return b.zero + force/b.span
	}
	return b.zero + (math.Sqrt(b.span*b.span+4*b.bend*force)-b.span)/(2*b.bend)
}

// job takes the readings, up and down, with masses that differ from what their
// certificate says: each for itself, and all by a common reference.
func (b bench) job() Job {
	rng := rand.New(rand.NewPCG(77, b.seed))
	const g, ug, air, uair = 9.8127, 5e-4, 1.19, 0.01
	known := masses.Set{
		Gravity: energy.Estimate{Value: g + ug*rng.NormFloat64(), U: ug},
		Air:     energy.Estimate{Value: air + uair*rng.NormFloat64(), U: uair},
	}
	truth := known
	truth.Gravity.Value, truth.Air.Value = g, air
	reference := rng.NormFloat64()
	for i := range b.steps {
		p := masses.Piece{
			Name: fmt.Sprintf("200 g no. %d", i+1), Conventional: true,
			Mass:    energy.Estimate{Value: 0.2, U: 2e-5},
			Density: energy.Estimate{Value: 8400, U: 85},
		}
		deviation := rng.NormFloat64()
		if i < 2 {
			p.Reference, deviation = "R", reference
		}
		known.Pieces = append(known.Pieces, p)
		p.Mass.Value += p.Mass.U * deviation
		p.Density.Value += p.Density.U * rng.NormFloat64()
		truth.Pieces = append(truth.Pieces, p)
	}
	j := Job{Masses: known, Capacity: 20, Nominal: 2e-5}
	var names []string
	for _, p := range known.Pieces {
		names = append(names, p.Name)
	}
	at := 0.0
	take := func(n, course int) {
		f, _ := truth.Force(names[:n])
		share := float64(n) / float64(b.steps)
		c := b.counts(f) + b.drift*at + b.noise*rng.NormFloat64() - float64(course)*2*b.hysteresis*share*(1-share)
		j.Readings = append(j.Readings, Reading{T: at, Load: names[:n], Counts: math.Round(c), U: 0.3})
		at += 40
	}
	take(0, 0)
	for range b.rounds {
		for n := 1; n <= b.steps; n++ {
			take(n, 1)
		}
		for n := b.steps - 1; n > 0; n-- {
			take(n, -1)
		}
		take(0, 0)
	}
	return j
}
