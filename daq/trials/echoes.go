package trials

import (
	"math"
	"slices"
	"strconv"

	"joulewell/calib"
)

const (
	manyLost = 0.06 // [1] share of distances missing that is worth a word
	tooMany  = 0.40 // [1] share with which a trial does not count
	someOut  = 3    // distances in a row out of range that are no accident
)

// echoes looks for distances that are missing: lost on the way, or because the bob was
// where the ranger cannot see.
func (v *view) lost() (all []Finding) {
	gaps, count := v.gaps()
	missing, unseen := 0, 0
	for _, g := range gaps {
		if g.missing >= someOut && v.outside(g) {
			unseen += g.missing
		} else {
			missing += g.missing
		}
	}
	if v.beyond >= someOut || unseen >= someOut {
		c := &v.bench.Calibration.Distance
		all = append(all, finding(OutOfRange, true, "the bob was nearer than %.3g m or farther than %.3g m from the ranger for %d readings: it cannot be seen there",
			c.Min, c.Max, max(v.beyond, unseen))...)
	}
	turns := v.turnsLost(gaps)
	share := float64(missing) / float64(max(1, missing+count))
	switch {
	case turns > 0:
		all = append(all, finding(LostEchoes, true, "%.0f %% of the distances are missing, %s of them at a turning point of the bob: level the ranger, and clear what stands in its beam",
			100*share, itoa(turns))...)
	case share > manyLost:
		all = append(all, finding(LostEchoes, share > tooMany, "%.0f %% of the distances are missing, but no turning point: level the ranger, and clear what stands in its beam", 100*share)...)
	}
	return all
}

// turnsLost counts the turning points that the analysis misses where distances are
// missing, the bob being in sight.
func (v *view) turnsLost(gaps []gap) (turns int) {
	if v.swing == nil {
		return 0
	}
	for _, l := range v.swing.Found.Lost {
		for _, g := range gaps {
			if l.Count != 0 && g.missing >= someOut && g.from < l.To && g.to > l.From && !v.outside(g) {
				turns += max(1, l.Count)
				break
			}
		}
	}
	return turns
}

// outside reports whether the bob left the ranger's sight in a gap: by the distances before
// and after it the next would have lain there.
func (v *view) outside(g gap) bool {
	i, _ := slices.BinarySearch(v.seen, g.from)
	j, _ := slices.BinarySearch(v.seen, g.to)
	return i > 0 && j+1 < len(v.seen) && v.leaves(i, i-1) && v.leaves(j, j+1)
}

// leaves reports whether the bob was on its way out of the ranger's sight at one distance,
// coming from another.
func (v *view) leaves(at, from int) bool {
	c := &v.bench.Calibration.Distance
	away := func(i int) float64 {
		d := v.heights[i] - c.Offset.Value
		if c.Mounting == calib.Support {
			d = -d
		}
		return d
	}
	d := away(at)
	speed := (d - away(from)) / math.Abs(v.seen[at]-v.seen[from])
	next := d + 1.5*v.step()*speed
	return next < c.Min || next > c.Max
}

func itoa(n int) string { return strconv.Itoa(n) }
