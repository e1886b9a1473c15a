package trials

import (
	"math"
	"testing"

	"joulewell/daq/setup"
)

// A swing that decays and whose coils close at the top, where it stays as long again as a
// spring would let it, is followed back to the amplitude that it began with; its middle and
// its frequency are off from what was foretold, and one reading is false.
func TestFalls(t *testing.T) {
	const amplitude, middle, w, decay, release = 0.3, 0.8, 7.0, 0.1, 0.5 // [m], [m], [rad/s], [1/s], [s]
	period := 2 * math.Pi / w
	slow := 1.06 * period // from one lowest point to the next
	c := channel{noise: 1e-4}
	for s := 0.0; s < 6*slow; s += 0.02 {
		n := math.Floor(s / slow)
		off := s - (n+0.5)*slow // from the lowest point
		swing := -amplitude * math.Exp(-decay*(n+0.5)*slow) * math.Cos(w*off)
		if math.Abs(off) > period/2 {
			swing = -amplitude * math.Exp(-decay*(n+0.5)*slow) * math.Cos(w*period/2)
		}
		c.t, c.y = append(c.t, release+s), append(c.y, middle+swing)
	}
	c.y[70] = 0.1
	falls := c.falls(release+period/8, middle+0.01, amplitude, period)
	if len(falls) != mostFalls {
		t.Fatalf("%d falls, want %d", len(falls), mostFalls)
	}
	for n, f := range falls {
		if want := release + (float64(n)+0.5)*slow; math.Abs(f.at-want) > 0.02 {
			t.Errorf("fall %d about %.3f s, want %.3f s", n, f.at, want)
		}
	}
	l, ok := lawOfFalls(c, falls, release, 0.998*w, 0.002)
	if !ok {
		t.Fatal("no fit")
	}
	a, slopes := l.reach()
	if u := l.noise * l.fit.uOf(slopes); math.Abs(a-amplitude) > 2*u || u > 1e-3 || u < 1e-5 {
		t.Errorf("amplitude %.5f m with u = %.5f m, want %g m", a, u, amplitude)
	}
	if got := l.fit.values[0]; math.Abs(got-middle) > 1e-3 {
		t.Errorf("middle %.5f m, want %g m", got, middle)
	}
	if _, ok := lawOfFalls(c, falls[:1], release, w, 0.002); ok {
		t.Error("one fall tells a decay")
	}
}

// How far from the middle a bob is held is not known better than where the support and the
// ranger stand, and how long spring and bob are.
func TestAwayIsUnsure(t *testing.T) {
	v := &view{bench: &setup.Bench{}, body: &body{neutral: 0.8, noise: 1e-4}, release: 2}
	v.sight.noise = 1e-4
	for s := 0.0; s < 2; s += 0.02 {
		v.sight.t, v.sight.y = append(v.sight.t, s), append(v.sight.y, 1.1)
	}
	a := &v.body.apparatus
	parts := []*float64{&a.Support.U, &a.Bob.Length.U, &a.Spring.NaturalLength.U, &v.bench.Calibration.Distance.Offset.U}
	for n, part := range parts {
		*part = 1e-3
		got, ok := v.away()
		if want := 1e-3 * math.Sqrt(float64(n+1)); !ok || math.Abs(got.Value-0.3) > 1e-9 || math.Abs(got.U-want) > 1e-6 {
			t.Errorf("%d unsure: %.6f m with u = %.6f m, want 0.3 m with %.6f m", n+1, got.Value, got.U, want)
		}
	}
}
