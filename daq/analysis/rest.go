package analysis

import (
	"math"
	"slices"

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
	var heights []float64
	for i := 0; i < len(s.Times); {
		j := i + 1
		for j < len(s.Times) && (j-i < blockPoints || s.Times[j]-s.Times[i] < nanoseconds(blockTime)) {
			if s.Times[j]-s.Times[j-1] > 4*nanoseconds(blockTime) {
				break
			}
			j++
		}
		if j-i >= blockPoints {
			heights = append(heights[:0], s.Values[i:j]...)
			slices.Sort(heights)
			blocks = append(blocks, block{i, j - 1, heights[len(heights)/2]})
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
	var passages []float64
	var between []float64
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
	slices.Sort(between)
	return between[len(between)/2]
}

// part is a stretch in which the bob moves, with the hold before it.
type part struct {
	from, to int // indices of its first and last point
	held     *hold
	rests    bool // the bob rests after it
}

// hold is a rest before a release. A motion fitted across a release would be wrong on
// both sides of it, so the hold is known by its readings alone.
type hold struct {
	from, to int     // indices of the points used, surely before the release
	height   float64 // [m] median
	u        float64 // [m] its standard uncertainty from the scatter
}

const (
	holdUsed = 1.0  // [s] of a hold are used at most
	letGo    = 0.15 // [s] before the bob is seen to move: half a noise after the release is not seen
	away     = 5.0  // noises from its place at which the bob surely moves
	fewest   = 3    // points of a hold that is used, and that must show the motion
)

// hold makes a hold of a rest and returns it with the index of the first point at which
// the bob surely moves; nil where too little of it is left.
func holdOf(s motion.Series, r stay, noise float64) (*hold, int) {
	middle := append([]float64(nil), s.Values[r.from:r.to+1]...)
	slices.Sort(middle)
	place := middle[len(middle)/2]
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
	from := max(r.from, indexOf(s.Times, s.Times[max(to, 0)]-nanoseconds(holdUsed)))
	n := to - from + 1
	if n < fewest || moves < 0 {
		return nil, r.to
	}
	middle = append(middle[:0], s.Values[from:to+1]...)
	slices.Sort(middle)
	var spread float64 // median absolute deviation
	for i := range middle {
		middle[i] = math.Abs(middle[i] - place)
	}
	slices.Sort(middle)
	spread = max(1.4826*middle[n/2], noise/2)
	values := append(middle[:0], s.Values[from:to+1]...)
	slices.Sort(values)
	return &hold{from, to, values[n/2], 1.2533 * spread / math.Sqrt(float64(n))}, moves
}

// parts returns the moving stretches between the rests.
func parts(s motion.Series, rests []stay, noise float64) []part {
	n := len(s.Times)
	var all []part
	p := part{}
	for i, r := range rests {
		if p.to = r.from; p.to > p.from {
			p.rests = true
			all = append(all, p)
		}
		p = part{}
		p.held, p.from = holdOf(s, rests[i], noise)
	}
	if p.to = n - 1; p.to > p.from {
		all = append(all, p)
	}
	return all
}
