package upkeep

import (
	"math"
	"time"

	"joulewell/daq/setup"
)

// Used returns, for each kind, the entry that a bench went by at an instant: the newest
// until then of which every number stands in its setup. Kinds without one are left out:
// there the bench file counted, or another book.
func (b Book) Used(bench *setup.Bench, at time.Time) []Entry {
	var used []Entry
	for _, k := range Kinds() {
		for i := len(b) - 1; i >= 0; i-- {
			if e := &b[i]; e.Kind == k && !e.Date.After(at) && e.standsIn(bench) {
				used = append(used, *e)
				break
			}
		}
	}
	return used
}

// standsIn reports whether every number that e left is that of a bench.
func (e *Entry) standsIn(bench *setup.Bench) bool {
	file := setup.File{Bench: *bench}
	const rounding = 1e-9 // of a number that went through two units and a file
	for key, left := range e.AsLeft {
		var want float64
		switch v := left.(type) {
		case float64:
			want = v
		case int64:
			want = float64(v)
		default:
			continue // a curve
		}
		if have, there := file.Pick(key)[key]; there && math.Abs(have-want) > rounding*math.Max(math.Abs(want), 1e-12) {
			return false
		}
	}
	return true
}
