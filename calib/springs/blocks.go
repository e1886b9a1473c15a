package springs

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
)

// block is the mean of some successive points.
type block struct {
	x, load float64 // [m], [N]
	course  float64 // +1 stretching, -1 letting back
}

// blocks averages successive points and tells from their neighbours whether the spring
// was being stretched or let back; blocks at a turn are left out.
func (p *Pull) blocks(doing string) ([]block, error) {
	if n := len(p.Points); n < leastPoints {
		return nil, fmt.Errorf("%s: %w: %d points: at least %d are needed", doing, doubt.ErrFew, n, leastPoints)
	}
	if err := checkSpring(doing, p.SpringMass, p.Gravity); err != nil {
		return nil, err
	}
	for i, at := range p.Points {
		switch {
		case !doubt.Finite(at.Extension, at.Force):
			return nil, fmt.Errorf("%s: point %d: %w: %g m, %g N", doing, i+1, doubt.ErrNumber, at.Extension, at.Force)
		case math.Abs(at.Extension) > longest:
			return nil, fmt.Errorf("%s: point %d: %w: extension %g m: must not be above %d m", doing, i+1, doubt.ErrUnit, at.Extension, longest)
		}
	}
	weight := p.SpringMass.Value * p.Gravity.Value
	if p.SpringTared {
		weight = 0
	}
	size := max(3, len(p.Points)/mostBlocks)
	var all []block
	for i := 0; i+size <= len(p.Points); i += size {
		var b block
		for _, at := range p.Points[i : i+size] {
			b.x += at.Extension / float64(size)
			b.load += (at.Force - weight) / float64(size)
		}
		all = append(all, b)
	}
	var moving []block
	for i := 1; i+1 < len(all); i++ {
		before, after := all[i].x-all[i-1].x, all[i+1].x-all[i].x
		if before*after > 0 {
			all[i].course = math.Copysign(1, after)
			moving = append(moving, all[i])
		}
	}
	if len(moving) < leastPoints/6 {
		return nil, fmt.Errorf("%s: %w: the spring moves evenly in %d of %d stretches: draw it out and let it back slowly, without stopping", doing, doubt.ErrUnsteady, len(moving), len(all))
	}
	if low, high := extent(moving); !(high-low > 0.01) {
		return nil, fmt.Errorf("%s: %w: drawn over %.2g m: at least 0.01 m, better half of its range", doing, doubt.ErrFew, high-low)
	}
	return moving, nil
}

func extent(blocks []block) (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, b := range blocks {
		low, high = min(low, b.x), max(high, b.x)
	}
	return low, high
}
