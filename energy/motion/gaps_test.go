package motion

import "testing"

// every adds points of a still bob at the given interval from first to last, ms.
func every(t *testing.T, l *Live, interval, first, last int64) {
	t.Helper()
	for ms := first; ms <= last; ms += interval {
		if err := l.Add(ms*1e6, 1); err != nil {
			t.Fatal(err)
		}
	}
}

func TestNoAnswerWithoutPoints(t *testing.T) {
	l := newLive(t, LiveOptions{})
	if x, v, q := l.At(0); !absent(t, x, v, q) || q.Points != 0 || q.Outlier {
		t.Errorf("no points: %v %v %+v", x, v, q)
	}
	every(t, l, 20, 0, 60) // four points do not determine scatter about a cubic
	if x, v, q := l.At(20e6); !absent(t, x, v, q) || q.Points != 4 {
		t.Errorf("four points: %v %v %+v", x, v, q)
	}
	every(t, l, 20, 80, 80)
	if x, v, q := l.At(20e6); absent(t, x, v, q) {
		t.Errorf("five points: %v %v %+v", x, v, q)
	}
}

// There is no answer outside of the points, nor at their very ends.
func TestNoExtrapolation(t *testing.T) {
	l := newLive(t, LiveOptions{})
	every(t, l, 20, 0, 1000)
	for _, test := range []struct {
		ms   int64
		want bool
	}{{-1, false}, {0, false}, {1, false}, {20, true}, {21, true}, {500, true}, {980, true}, {990, true}, {1000, false}, {1001, false}} {
		x, v, q := l.At(test.ms * 1e6)
		// Early on the window may hold too few points; from 20 ms on it holds five.
		if got := !absent(t, x, v, q); got != test.want {
			t.Errorf("at %d ms: answer %t, want %t (%+v)", test.ms, got, test.want, q)
		}
	}
}

// A silence longer than the gap is neither bridged nor looked across.
func TestGap(t *testing.T) {
	l := newLive(t, LiveOptions{})
	every(t, l, 20, 0, 400)
	every(t, l, 20, 500, 900)   // just the gap: bridged
	every(t, l, 20, 1020, 1400) // longer: not
	for _, test := range []struct {
		ms   int64
		want bool
	}{
		{390, true}, {400, false}, {450, true}, {500, true}, {560, true},
		{880, true}, {900, false}, {901, false}, {960, false}, {1019, false}, {1020, false},
		{1100, true},
	} {
		x, v, q := l.At(test.ms * 1e6)
		if got := !absent(t, x, v, q); got != test.want {
			t.Errorf("at %d ms: answer %t, want %t (%+v)", test.ms, got, test.want, q)
		}
	}
}

// The window itself ends at a silence, before and after.
func TestWindowEndsAtGap(t *testing.T) {
	l := newLive(t, LiveOptions{Gap: 0.03})
	every(t, l, 10, 0, 500)
	every(t, l, 10, 540, 1000)
	for _, test := range []struct {
		ms   int64
		span float64
	}{{400, 0.46}, {490, 0.5}, {470, 0.5}, {550, 0.07}, {590, 0.11}} {
		_, _, q := l.At(test.ms * 1e6)
		near(t, "span", q.Span, test.span, 1e-9)
	}
}

// Of a very dense stream only so many points are used.
func TestDenseStream(t *testing.T) {
	l := newLive(t, LiveOptions{})
	for i := range int64(5000) {
		if err := l.Add(i*100_000, 1); err != nil { // 10 000 a second
			t.Fatal(err)
		}
	}
	x, v, q := l.At(400_000_000)
	if absent(t, x, v, q) || q.Points != 2*side+1 {
		t.Errorf("got %v %v %+v, want %d points", x, v, q, 2*side+1)
	}
	near(t, "span", q.Span, 0.0192, 1e-9)
}
