package slip

import (
	"math/bits"
	"slices"

	"joulewell/energy/worksheet"
)

// set is a set of kinds of slip: bit n stands for the n-th of [slips].
type set uint32

func setOf(tries []try) set {
	var s set
	for _, t := range tries {
		s |= 1 << slices.IndexFunc(slips, func(k known) bool { return k.kind == t.kind })
	}
	return s
}

func (s set) size() int         { return bits.OnesCount32(uint32(s)) }
func (s set) within(t set) bool { return s&^t == 0 }

func (s set) kinds() []Kind {
	var kinds []Kind
	for i, k := range slips {
		if s&(1<<i) != 0 {
			kinds = append(kinds, k.kind)
		}
	}
	return kinds
}

// riddle is a figure that is off, with the sets of slips that explain it.
type riddle struct {
	id   worksheet.ID
	sets []set
}

// largest is the largest number of kinds that a sheet is explained with as a whole.
const largest = 4

// settle finds the fewest kinds of slip that explain all figures at once, and returns
// for each figure the sets among them that explain it, the smallest only. More than one
// set means that it cannot be decided.
func settle(cases []riddle) map[worksheet.ID][][]Kind {
	cases = slices.DeleteFunc(cases, func(c riddle) bool { return len(c.sets) == 0 })
	found := map[worksheet.ID][][]Kind{}
	whole := fewest(cases)
	for _, c := range cases {
		covers := whole
		if len(covers) == 0 { // too many slips for one story: each figure by itself
			covers = fewest([]riddle{c})
		}
		var sets []set
		for _, cover := range covers {
			for _, s := range c.smallest(cover) {
				if !slices.Contains(sets, s) {
					sets = append(sets, s)
				}
			}
		}
		for _, s := range sets {
			found[c.id] = append(found[c.id], s.kinds())
		}
	}
	return found
}

// smallest lists the smallest sets within cover that explain c.
func (c riddle) smallest(cover set) []set {
	var sets []set
	size := largest + 1
	for _, s := range c.sets {
		if !s.within(cover) || s.size() > size {
			continue
		}
		if s.size() < size {
			size, sets = s.size(), nil
		}
		sets = append(sets, s)
	}
	return sets
}

// fewest lists the smallest sets of kinds that explain every figure; none if they would
// have more than [largest].
func fewest(cases []riddle) []set {
	if len(cases) == 0 {
		return nil
	}
	best := largest
	var covers []set
	var grow func(cover set, rest []riddle)
	grow = func(cover set, rest []riddle) {
		if cover.size() > best {
			return
		}
		for i, c := range rest {
			if slices.ContainsFunc(c.sets, func(s set) bool { return s.within(cover) }) {
				continue
			}
			for _, s := range c.sets {
				grow(cover|s, rest[i+1:])
			}
			return
		}
		if cover.size() < best {
			best, covers = cover.size(), nil
		}
		if !slices.Contains(covers, cover) {
			covers = append(covers, cover)
		}
	}
	grow(0, cases)
	return covers
}
