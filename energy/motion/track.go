package motion

import (
	"errors"
	"math"
)

// Refusals of a point.
var (
	ErrOrder = errors.New("position is not later than the one before")
	ErrValue = errors.New("position is not a finite number")
)

// track holds points in order of time.
type track struct {
	times     []int64   // [ns]
	unbroken  []int64   // [ns] since when no silence was longer than the gap, for each point
	positions []float64 // [m]
	gap       int64     // [ns] longest silence that is bridged
}

func newTrack(room int, gap float64) track {
	return track{make([]int64, 0, room), make([]int64, 0, room), make([]float64, 0, room), nanoseconds(gap)}
}

func nanoseconds(s float64) int64 { return int64(math.Round(s * 1e9)) }

func (k *track) add(t int64, x float64) error {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return ErrValue
	}
	since := t
	if n := len(k.times); n > 0 {
		if t <= k.times[n-1] {
			return ErrOrder
		}
		if t-k.times[n-1] <= k.gap {
			since = k.unbroken[n-1]
		}
	}
	k.times = append(k.times, t)
	k.unbroken = append(k.unbroken, since)
	k.positions = append(k.positions, x)
	return nil
}

// drop forgets the oldest points.
func (k *track) drop(count int) {
	k.times = k.times[:copy(k.times, k.times[count:])]
	k.unbroken = k.unbroken[:copy(k.unbroken, k.unbroken[count:])]
	k.positions = k.positions[:copy(k.positions, k.positions[count:])]
}

// reach says how far from the asked instant a window goes [ns].
type reach struct {
	behind, ahead int64
	farthest      int64 // behind, for the sake of the number of points
	side          int   // points at most on either side
}

// window fills w with the points around t, widened backward to so many points. It
// ends at silences and after so many points on either side; it is empty when t itself
// stands in a silence.
func (k *track) window(w *window, t int64, r reach, points int) {
	after := upTo(k.times, t)
	if after == 0 || k.times[after-1] != t &&
		(after == len(k.times) || k.unbroken[after] != k.unbroken[after-1]) {
		w.take(nil, nil, t, 0)
		return
	}
	since := k.unbroken[after-1]
	last := min(upTo(k.times, t+r.ahead), after+r.side)
	if last > after && k.unbroken[last-1] != since {
		last = upTo(k.unbroken, since)
	}
	first := upTo(k.times, t-r.behind-1)
	if last-first < points {
		first = max(last-points, upTo(k.times, t-r.farthest-1))
	}
	first = max(first, after-r.side-1, upTo(k.times, since-1))
	w.take(k.times[first:last], k.positions[first:last], t, after-first)
	w.since, w.cut = since, last == after+r.side || first == after-r.side-1
	w.gap = float64(k.gap) * 1e-9 / w.scale * (1 + 1e-9) // a silence of just gap passes
}

// around returns the number of points up to t and up to so far [ns] ahead of it, if none of
// them stands beyond a silence, some stand on either side of t, and since is when the last
// silence ended.
func (k *track) around(t, since, ahead int64) (after, count int, ok bool) {
	after = upTo(k.times, t)
	before := after - 1
	if after > 0 && k.times[before] == t {
		before--
	}
	if before < 0 || after == len(k.times) || k.unbroken[before] != since || k.unbroken[after] != since {
		return 0, 0, false
	}
	count = upTo(k.times, t+ahead)
	if k.unbroken[count-1] != since {
		count = upTo(k.unbroken, since)
	}
	return after, count, count > after
}

// Anchor returns the latest instant [ns] not after t by which the time base of all points may be
// moved without changing a bit of any answer of [Live]: its windows begin at multiples of a
// length of time, see hindsight.go.
func Anchor(t int64) int64 { return floor(t, cell) * cell }

// floor returns the largest whole number of cells not above t.
func floor(t, cell int64) int64 {
	k := t / cell
	if k*cell > t {
		k--
	}
	return k
}

// upTo returns how many leading elements of the ascending list are not above v.
func upTo(list []int64, v int64) int {
	low, high := 0, len(list)
	for low < high {
		mid := int(uint(low+high) / 2)
		if list[mid] > v {
			high = mid
		} else {
			low = mid + 1
		}
	}
	return low
}
