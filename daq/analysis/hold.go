package analysis

import (
	"math"
	"slices"

	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/motion"
)

// hold is a rest before a release. A motion fitted across a release would be wrong on
// both sides of it, so the hold is known by its readings alone.
type hold struct {
	from, to int             // indices of the points used, surely before the release
	height   energy.Estimate // [m] median, with its uncertainty from the scatter
}

const (
	holdUsed = 1.0  // [s] of a hold are used at most
	letGo    = 0.15 // [s] before the bob is seen to move a hold ends: the first way is not seen
	away     = 5.0  // noises from its place at which the bob surely moves
	fewest   = 3    // points of a hold that is used, and in a row that must show the motion
)

// holdOf makes a hold of a rest and returns it with the index of the first point at which
// the bob surely moves; nil where too little of it is left.
func holdOf(s motion.Series, r stay, noise float64) (*hold, int) {
	place := median(s.Values[r.from : r.to+1])
	moves := indexOf(s.Times, s.Times[r.to]-2*nanoseconds(blockTime))
	for run := 0; moves < len(s.Times) && run < fewest; moves++ {
		if math.Abs(s.Values[moves]-place) > away*noise {
			run++
		} else {
			run = 0
		}
	}
	moves -= fewest
	to := indexOf(s.Times, s.Times[max(moves, 0)]-nanoseconds(letGo)) - 1
	if moves < 0 || to < r.from+fewest-1 {
		return nil, r.to
	}
	from := max(r.from, indexOf(s.Times, s.Times[to]-nanoseconds(holdUsed)))
	if to-from+1 < fewest {
		return nil, r.to
	}
	h := &hold{from: from, to: to}
	values := s.Values[from : to+1]
	h.height.Value = median(values)
	off := make([]float64, len(values))
	for i, v := range values {
		off[i] = math.Abs(v - h.height.Value)
	}
	// A median is 1.25 times as unsure as a mean; 1.48 median deviations are a standard one.
	spread := max(1.4826*median(off), noise/2)
	h.height.U = 1.2533 * spread / math.Sqrt(float64(len(values)))
	return h, moves
}

// samples stand for a hold, all at its median, for it has one place. The last stands just
// before the bob is seen to move.
func (a *analyser) samples(h *hold, from, moves float64) []loss.Sample {
	const n, before = 40, 0.01
	samples := make([]loss.Sample, n)
	for i := range samples {
		samples[i] = loss.Sample{
			T:         from + (moves-before-from)*float64(i)/(n-1),
			Extension: energy.Estimate{Value: a.bench.Apparatus.Extension(h.height.Value), U: h.height.U},
			Velocity:  energy.Estimate{U: h.height.U / blockTime},
		}
	}
	return samples
}

// median returns the upper median of values, which must not be empty.
func median(values []float64) float64 {
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	return sorted[len(sorted)/2]
}
