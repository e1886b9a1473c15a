package clock

import (
	"math"
	"math/bits"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// filled makes an envelope of the given points, as they are.
func filled(points []point) *envelope {
	e := &envelope{shift: lastShift, n: len(points)}
	copy(e.points[:], points)
	return e
}

var somePoints = rapid.Custom(func(t *rapid.T) []point {
	n := rapid.IntRange(fewest, capacity).Draw(t, "n")
	slope := rapid.Float64Range(-0.006, 0.006).Draw(t, "slope")
	us := rapid.Int64Range(0, 1e12).Draw(t, "us")
	points := make([]point, n)
	for i := range points {
		us += rapid.Int64Range(1, 2<<lastShift).Draw(t, "step")
		points[i] = point{us, int64(slope*1000*float64(us)) + rapid.Int64Range(0, 20e6).Draw(t, "lag")}
	}
	return points
})

// Of all lines through two points with none below, the edge has the least sum of
// heights: the plain way, by trying all pairs.
func TestEdgeIsTheBestLineBelow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		points := somePoints.Draw(t, "points")
		l, ok := filled(points).fit()
		if !ok {
			t.Fatal("no edge")
		}
		sum := func(through point, slope float64) (s float64) {
			for _, p := range points {
				h := height(p, through, slope)
				if h < -1 { // ns
					return math.Inf(1)
				}
				s += h
			}
			return s
		}
		best := math.Inf(1)
		for i, p := range points {
			for _, q := range points[:i] {
				best = min(best, sum(q, float64(p.lag-q.lag)/float64(p.us-q.us)/1000))
			}
		}
		if got := sum(l.through, l.slope); got > best+float64(len(points)) {
			t.Fatalf("sum of heights %v ns, the best line has %v", got, best)
		}
	})
}

func TestEdgeNeedsPoints(t *testing.T) {
	if _, ok := filled(make([]point, fewest-1)).fit(); ok {
		t.Errorf("an edge of %d points", fewest-1)
	}
}

func TestMedian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(0, 10), 1, capacity).Draw(t, "x")
		if rapid.Bool().Draw(t, "coarse") {
			for i := range x {
				x[i] = math.Floor(x[i])
			}
		}
		sorted := slices.Sorted(slices.Values(x))
		if got := median(x); got != sorted[len(sorted)/2] {
			t.Fatalf("median %v, want %v", got, sorted[len(sorted)/2])
		}
	})
}

// Points are the least delayed readings of their intervals, in order; intervals grow
// until the window is two minutes long, and it then slides.
func TestEnvelopeKeepsTheLeast(t *testing.T) {
	var e envelope
	e.reset()
	const slope = 0.004
	s := newSim(1, ppmOf(slope), loosely(10e6), smooth(1e6))
	lags := map[int64]point{}
	for us0 := s.us; s.us < us0+400e6; {
		s.next()
		p := point{s.us, s.arrival - s.us*1000}
		e.add(p, slope)
		i := p.us >> lastShift
		if q, ok := lags[i]; !ok || height(p, q, slope) < 0 {
			lags[i] = p
		}
	}
	if e.shift != lastShift || e.n < capacity-1 {
		t.Fatalf("%d points of 2^%d us after 400 s", e.n, e.shift)
	}
	for i := range e.n {
		if p := *e.at(i); p != lags[p.us>>lastShift] || i > 0 && p.us <= e.at(i-1).us {
			t.Errorf("point %d is %v, want %v", i, p, lags[p.us>>lastShift])
		}
	}
	if span := e.at(e.n-1).us - e.at(0).us; span < 120e6 || span > 140e6 {
		t.Errorf("the window is %d us long", span)
	}
}

// Where readings are rare, old ones are kept so that there is something to go by.
func TestEnvelopeSparse(t *testing.T) {
	var e envelope
	e.reset()
	for i := range int64(1000) {
		e.add(point{i * 10_000_000, 0}, 0)
	}
	if e.n != sparse+1 && e.n != sparse {
		t.Errorf("%d points, want %d", e.n, sparse)
	}
}

func TestPhaseGap(t *testing.T) {
	for _, c := range []struct {
		name   string
		period int64   // us
		want   float64 // ns
	}{
		{"16 ms", 16_000, 16e6}, {"80 ms", 80_000, 16e6}, {"40 ms", 40_000, 8e6}, {"20 ms", 20_000, 4e6},
		{"10 ms", 10_000, 2e6}, {"1 ms", 1000, 1e6}, {"12.5 ms", 12_500, 0.5e6}, {"10.01 ms", 10_010, 0.25e6},
	} {
		var p phases
		for us := int64(123); us < 20_000_000; us += c.period {
			p.add(us)
		}
		if got := p.gap(); got != c.want {
			t.Errorf("a reading every %s: gap %v ns, want %v", c.name, got, c.want)
		}
	}
	// Phases are kept for a while, not for ever.
	var p phases
	us := int64(0)
	for ; us <= phaseKeep; us += 12_500 {
		p.add(us)
	}
	if p.add(us); p.gap() != 0.5e6 {
		t.Errorf("just after %d us: gap %v ns, want 0.5 ms", phaseKeep, p.gap())
	}
	for end := us + 2*phaseKeep + 40_000; us <= end; us += 20_000 {
		p.add(us)
	}
	if p.gap() != 4e6 {
		t.Errorf("long after a change to 20 ms: gap %v ns, want 4 ms", p.gap())
	}
	rapid.Check(t, func(t *rapid.T) {
		seen := rapid.Uint64Range(1, math.MaxUint64).Draw(t, "seen")
		want := 0
		for i := range 64 { // from each bit seen to the next
			if turned := bits.RotateLeft64(seen, i); turned&1 == 1 {
				want = max(want, bits.TrailingZeros64(bits.RotateLeft64(turned, -1))+1)
			}
		}
		if got := (&phases{now: seen}).gap(); got != float64(want)*phaseUs*1000 {
			t.Fatalf("phases %064b: gap %v ns, want %d steps", seen, got, want)
		}
	})
}
