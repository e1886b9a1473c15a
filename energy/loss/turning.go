package loss

import (
	"cmp"
	"fmt"
	"slices"

	"joulewell/energy"
)

// Side says on which end of a swing the bob turns.
type Side int8

// The sides. A Side times the distance from the neutral point is the extension
// beyond it.
const (
	Lower Side = 1  // bob at its lowest, extension largest
	Upper Side = -1 // bob at its highest
)

// Turning is one turning point of the bob.
type Turning struct {
	T         energy.Estimate // [s]
	Extension energy.Estimate // [m] at the turn
	Side      Side            // which end of the swing
	Record    int             // [1] counts up where the number of half swings since the turning point before is not known
	Index     int             // [1] half swings since the first turning point of its record; jumps over lost ones
	Release   bool            // not a turn but the place where the bob was held and let go
	Ripple    float64         // [m] standard uncertainty that waves in the coils add for a law of decay, which knows nothing of them; see [Ripples]
}

// Stretch is a gap that swallowed turning points.
type Stretch struct {
	From, To float64 // [s]
	Count    int     // [1] turning points lost, -1 where that cannot be told
}

// Turnings are the turning points of a run, in order of time.
type Turnings struct {
	Points []Turning
	Lost   []Stretch
}

// Options say what the samples do not.
type Options struct {
	// While the bob is held still before its release. Both zero: it was not held, or
	// nobody said so.
	HeldFrom, HeldTo float64 // [s]
}

// TurningPoints finds where and when the bob turned.
//
// A turn is a change of the velocity's sign that is beyond the velocity's own
// uncertainty on both sides (hysteresis of four standard uncertainties); its time is
// the zero of the slope and its extension the extreme of a polynomial of degree 4
// fitted to extensions and velocities within an eighth of a period on either side.
// Turns whose swing does not stand out of the noise are left out. A turn that falls
// into a gap is counted in Lost; its number is told from the spacing of its
// neighbours and from the side on which they lie.
//
// It returns an error that wraps [ErrSamples] for unusable samples and [ErrStill]
// where nothing swings.
func TurningPoints(samples []Sample, o Options) (Turnings, error) {
	var points []Turning
	start := 0
	if o.HeldFrom != 0 || o.HeldTo != 0 {
		release, next, err := held(samples, o)
		if err != nil {
			return Turnings{}, fmt.Errorf("find turning points: %w", err)
		}
		points, start = append(points, release), next
	}
	crossings, gaps, err := scan(samples, start)
	if err != nil {
		return Turnings{}, fmt.Errorf("find turning points: %w", err)
	}
	halves := halfSwings(samples, crossings)
	var f fitter
	for i, c := range crossings {
		p, ok := Turning{}, false
		if !c.broken {
			p, ok = f.turn(samples, c, halves[i])
		}
		if ok {
			points = append(points, p)
		} else {
			gaps = append(gaps, gap{samples[c.last].T, samples[c.next].T, true})
		}
	}
	slices.SortFunc(gaps, func(a, b gap) int { return cmp.Compare(a.from, b.from) })
	points = significant(points, gaps)
	if len(points) == 0 || (len(points) == 1 && points[0].Release) {
		if len(crossings) > 0 {
			return Turnings{}, fmt.Errorf("find turning points: %w: the bob turns %d times, but never with at least 3 samples within a quarter of a period on either side and a way larger than the noise",
				ErrStill, len(crossings))
		}
		return Turnings{}, fmt.Errorf("find turning points: %w: no velocity passes %d times its uncertainty on both sides of zero; a swing larger than the noise is needed",
			ErrStill, hysteresis)
	}
	return number(points, gaps), nil
}

// LastAlike returns the position of the last turning point on the side of the first, or
// of the last of all where there are only two: what two places have in common nearly
// cancels between equal sides.
func LastAlike(record []Turning) int {
	for i := len(record) - 1; i > 0; i-- {
		if (record[i].Index-record[0].Index)%2 == 0 {
			return i
		}
	}
	return len(record) - 1
}

// Longest returns the record with most turning points, the first of equals.
func (t Turnings) Longest() []Turning {
	var best []Turning
	for i := 0; i < len(t.Points); {
		j := i
		for j < len(t.Points) && t.Points[j].Record == t.Points[i].Record {
			j++
		}
		if j-i > len(best) {
			best = t.Points[i:j]
		}
		i = j
	}
	return best
}
