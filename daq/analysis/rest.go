package analysis

import (
	"math"

	"joulewell/energy/motion"
)

// Rests are found on short blocks of distances, before any motion is fitted: a window
// chosen on a run that was mostly held would suit the hold.
const (
	blockTime   = 0.1 // [s] of a block at least
	blockPoints = 4   // in a block at least
	shortest    = 0.4 // [s] of a rest, unless a half swing is longer than half of this
	still       = 3.0 // noises within which the middle of a block stays while the bob rests
)

// block is the middle of a few distances.
type block struct {
	first, last int     // indices of its points
	height      float64 // [m] median
}

// stay is a stretch in which the bob rests: held, or come to rest by itself.
type stay struct{ from, to int } // indices of its first and last point

// stays returns where the bob rests, in order of time.
func stays(s motion.Series, noise float64) []stay {
	blocks := cut(s)
	if len(blocks) == 0 {
		return nil
	}
	least := max(shortest, 0.75*halfSwing(s, blocks, noise))
	var all []stay
	for i := 0; i < len(blocks); {
		j, sum := i+1, blocks[i].height
		for j < len(blocks) && math.Abs(blocks[j].height-sum/float64(j-i)) <= still*noise {
			sum += blocks[j].height
			j++
		}
		from, to := blocks[i].first, blocks[j-1].last
		if seconds(s.Times[to]-s.Times[from]) < least {
			i++
			continue
		}
		all = append(all, stay{from, to})
		i = j
	}
	return all
}

// cut makes blocks of the points. A block does not reach over a silence longer than
// itself.
func cut(s motion.Series) []block {
	var blocks []block
	for i := 0; i < len(s.Times); {
		j := i + 1
		for j < len(s.Times) && (j-i < blockPoints || s.Times[j]-s.Times[i] < nanoseconds(blockTime)) {
			if s.Times[j]-s.Times[j-1] > 4*nanoseconds(blockTime) {
				break
			}
			j++
		}
		if j-i >= blockPoints {
			blocks = append(blocks, block{i, j - 1, median(s.Values[i:j])})
		}
		i = j
	}
	return blocks
}

// halfSwing returns how long [s] half a swing takes thereabouts: the median time
// between passages through the middle of all blocks; 0 where nothing passes.
func halfSwing(s motion.Series, blocks []block, noise float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, b := range blocks {
		low, high = min(low, b.height), max(high, b.height)
	}
	middle := (low + high) / 2
	var passages, between []float64
	side := 0.0
	for _, b := range blocks {
		if math.Abs(b.height-middle) <= still*noise {
			continue
		}
		now := math.Copysign(1, b.height-middle)
		if now == -side {
			passages = append(passages, seconds(s.Times[b.first]))
		}
		side = now
	}
	for i := 1; i < len(passages); i++ {
		between = append(between, passages[i]-passages[i-1])
	}
	if len(between) == 0 {
		return 0
	}
	return median(between)
}

// part is a stretch in which the bob moves, with the hold before it.
type part struct {
	from, to int // indices of its first and last point
	held     *hold
	rests    bool // the bob rests after it
}

// parts returns the moving stretches between the rests.
func parts(s motion.Series, rests []stay, noise float64) []part {
	n := len(s.Times)
	var all []part
	var p part
	for _, r := range rests {
		if p.to = r.from; p.to > p.from {
			p.rests = true
			all = append(all, p)
		}
		p = part{}
		p.held, p.from = holdOf(s, r, noise)
	}
	if p.to = n - 1; p.to > p.from {
		all = append(all, p)
	}
	return all
}
