package trials

import (
	"math"
	"testing"
)

// A light spring leaves the bob its whole way. A spring without a bob, drawn evenly, is
// the triangle wave whose Fourier series begins with 8/pi^2, and the force at its top is the
// square wave's, 4/pi (textbooks of analysis, from memory).
func TestMode(t *testing.T) {
	for _, c := range []struct{ ratio, bob, top float64 }{
		{0, 1, 1},
		{1e-9, 1, 1},
		{1e7, 8 / math.Pi / math.Pi, 4 / math.Pi},
	} {
		if m := modeOf(c.ratio); math.Abs(m.bob-c.bob) > 1e-6 || math.Abs(m.top-c.top) > 1e-6 {
			t.Errorf("ratio %g: %+v, want %g and %g", c.ratio, m, c.bob, c.top)
		}
	}
}

// A mean over a time keeps what the mean of many values keeps.
func TestAveraged(t *testing.T) {
	const w, time, n = 9.0, 0.4, 100_000
	mean := func(time float64) (sum float64) {
		for i := range n {
			sum += math.Cos(w*time*((float64(i)+0.5)/n-0.5)) / n
		}
		return sum
	}
	share, slope := averaged(w, time)
	if want := mean(time); math.Abs(share-want) > 1e-8 {
		t.Errorf("share %g, want %g", share, want)
	}
	const d = 1e-5
	if want := (mean(time+d) - mean(time-d)) / (2 * d) / share; math.Abs(slope-want) > 1e-4 {
		t.Errorf("slope %g, want %g", slope, want)
	}
}

// A bounce between the readings is found where and as strong as it was.
func TestBlow(t *testing.T) {
	const w, at, middle, jump = 8.0, 0.513, 0.3, 1.2
	var c channel
	c.noise = 1e-3
	for s := 0.02; s < 1; s += 0.025 {
		sin, cos := math.Sincos(w * (s - at))
		c.t = append(c.t, s)
		c.y = append(c.y, middle-0.3*cos-0.05*sin+jump/w*math.Abs(sin))
	}
	b, ok := c.between(at-0.25, at+0.25).blowAt(at, w, middle, 1e-3, 0)
	if !ok || math.Abs(b.jump-2*jump) > 1e-6 || math.Abs(b.height) > 1e-6 || b.score < 10 {
		t.Errorf("%+v, want a jump of %g m/s at the floor", b, 2*jump)
	}
	for i := range c.y { // without it
		sin, _ := math.Sincos(w * (c.t[i] - at))
		c.y[i] -= jump / w * math.Abs(sin)
	}
	if b, _ := c.between(at-0.25, at+0.25).blowAt(at, w, middle, 1e-3, 0); math.Abs(b.jump) > 1e-6 {
		t.Errorf("%+v, want none", b)
	}
}
