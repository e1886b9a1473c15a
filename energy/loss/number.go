package loss

import (
	"math"
	"sort"
)

// pause is how many usual half swings may lie between neighbours in one unbroken
// motion; where it is longer, somebody stopped the bob.
const pause = 1.75

// bridge is how many half swings may be counted across a gap: so many half swings that
// each differ by a hundredth from the usual are still told from one more and one less.
const bridge = 50

// significant leaves out turns that noise makes while the bob is at rest: each turn
// must differ from the one before by more than the noise of both.
func significant(points []Turning, gaps []gap) []Turning {
	var kept []Turning
	for _, p := range points {
		if len(kept) == 0 {
			kept = append(kept, p)
			continue
		}
		before := &kept[len(kept)-1]
		if _, ok := between(gaps, before.T.Value, p.T.Value); ok {
			kept = append(kept, p)
			continue
		}
		rise := p.Extension.Value - before.Extension.Value
		clear := math.Abs(rise) > hysteresis*math.Hypot(p.Extension.U, before.Extension.U)
		outward := rise*float64(p.Side) > 0
		switch {
		case !clear || !outward:
		case p.Side == before.Side && !before.Release:
			*before = p // the turn between them was noise, and so was the one before
		default:
			kept = append(kept, p)
		}
	}
	return kept
}

// between returns the gaps that begin between two instants [s], drawn together.
func between(gaps []gap, from, to float64) (all gap, ok bool) {
	first := sort.Search(len(gaps), func(i int) bool { return gaps[i].from >= from })
	for _, g := range gaps[first:] {
		if g.from >= to {
			break
		}
		if !ok {
			all.from = g.from
		}
		all.to, all.turned, ok = max(all.to, g.to), all.turned || g.turned, true
	}
	return all, ok
}

// number gives each turning point its record and index, and lists what was lost.
func number(points []Turning, gaps []gap) Turnings {
	t := Turnings{Points: points}
	usual := usualHalfSwing(points, gaps)
	t.loseAtEnd(gaps, math.Inf(-1), points[0].T.Value)
	for i := 1; i < len(points); i++ {
		before, p := &points[i-1], &points[i]
		p.Record, p.Index = before.Record, before.Index
		spacing := p.T.Value - before.T.Value
		hole, broken := between(gaps, before.T.Value, p.T.Value)
		if before.Release {
			before.Side = -p.Side
		}
		halves := 1
		switch {
		case broken:
			halves = missed(before, p, spacing/usual)
		case spacing > pause*usual:
			halves = 0
		}
		if halves > 0 {
			p.Index += halves
		} else {
			p.Record, p.Index = p.Record+1, 0
		}
		if broken && halves != 1 {
			t.Lost = append(t.Lost, Stretch{hole.from, hole.to, halves - 1})
		}
	}
	t.loseAtEnd(gaps, points[len(points)-1].T.Value, math.Inf(1))
	return t
}

// usualHalfSwing is the median spacing [s] of neighbours with no gap between, or NaN.
func usualHalfSwing(points []Turning, gaps []gap) float64 {
	var spacing []float64
	for i := 1; i < len(points); i++ {
		from, to := points[i-1].T.Value, points[i].T.Value
		if _, ok := between(gaps, from, to); !ok && !points[i-1].Release {
			spacing = append(spacing, to-from)
		}
	}
	if len(spacing) == 0 {
		return math.NaN()
	}
	return median(spacing)
}

// missed returns how many half swings lie between two turning points with a gap
// between them, or 0 where that cannot be told: the spacing, in usual half swings,
// must come within half a one of a number that fits the sides they lie on, and not
// pass what can be counted.
func missed(before, p *Turning, spacing float64) int {
	if before.Release || math.IsNaN(spacing) || spacing > bridge {
		return 0
	}
	odd := 0.0
	if before.Side != p.Side {
		odd = 1
	}
	n := 2*math.Round((spacing-odd)/2) + odd
	if n < 1 || math.Abs(spacing-n) > 0.5 {
		return 0
	}
	return int(n)
}

// loseAtEnd lists the gaps outside the first and last turning point across which the
// bob surely turned.
func (t *Turnings) loseAtEnd(gaps []gap, from, to float64) {
	if hole, ok := between(gaps, from, to); ok && hole.turned {
		t.Lost = append(t.Lost, Stretch{hole.from, hole.to, -1})
	}
}
