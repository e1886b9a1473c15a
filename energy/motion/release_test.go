package motion

import (
	"math"
	"testing"

	"joulewell/energy"
)

// drop hangs still for two seconds and is let go.
func drop(after float64) path {
	w := 2 * math.Pi * 1.2
	const a = 0.12
	return path{"let go",
		func(t float64) float64 { return 1 - a*(1-math.Cos(w*max(0, t-after))) },
		func(t float64) float64 { return -a * w * math.Sin(w*max(0, t-after)) }}
}

// When the bob is let go after a rest, which has made the window as long as can be, it must
// shrink at once. fixed is what the cubic through 60 ms on either side, which knows of
// no rest, misses by.
func TestRelease(t *testing.T) {
	const after = 2.0
	p := drop(after)
	for _, c := range []struct{ rate, noise float64 }{{40, 3e-4}, {80, 3e-4}, {80, 2e-3}, {400, 1e-3}, {1000, 3e-4}, {1000, 2e-3}} {
		var bias, fixed [30]float64 // mean deviations by the time since the release, in 10 ms
		var square, squareFixed, n float64
		var count [30]float64
		for seed := range uint64(60) {
			s := sample(p, c.rate, 2.5, c.noise, 100+seed)
			l := newLive(t, LiveOptions{Noise: c.noise})
			s.through(t, l, func(i int, _, v energy.Estimate, _ Quality) {
				at := float64(s.times[i])*1e-9 - after
				k := int(math.Floor(at*100)) + 6
				if k < 0 || k >= len(bias) || !v.Known() {
					return
				}
				f, ok := cubicAround(s, s.times[i], max(0.060, 3.5/c.rate))
				if !ok {
					return
				}
				truth := p.velocity(at + after)
				bias[k] += v.Value - truth
				fixed[k] += f - truth
				count[k]++
				square += (v.Value - truth) * (v.Value - truth)
				squareFixed += (f - truth) * (f - truth)
				n++
			})
		}
		worst, worstFixed := 0.0, 0.0
		for k := range bias {
			if count[k] > 0 {
				worst = max(worst, math.Abs(bias[k]/count[k]))
				worstFixed = max(worstFixed, math.Abs(fixed[k]/count[k]))
			}
		}
		rms, rmsFixed := math.Sqrt(square/n), math.Sqrt(squareFixed/n)
		t.Logf("%4.0f Hz, %.1f mm: largest mean deviation %.4f m/s, of the fixed window %.4f; root mean square %.4f, %.4f", c.rate, c.noise*1e3, worst, worstFixed, rms, rmsFixed)
		// Where noise hides the release for longer, the gain in noise is larger.
		if worst > 1.5*worstFixed || rms > 1.2*rmsFixed || worst/worstFixed*rms/rmsFixed > 1.3 {
			t.Errorf("%g Hz, %g m: largest mean deviation %.4f m/s, of the fixed window %.4f; root mean square %.4f, %.4f", c.rate, c.noise, worst, worstFixed, rms, rmsFixed)
		}
	}
}

// cubicAround returns the slope at t of the cubic through the points within half.
func cubicAround(s stream, t int64, half float64) (float64, bool) {
	first, last := upTo(s.times, t-nanoseconds(half)-1), upTo(s.times, t+nanoseconds(MaxLag))
	var p polynomial
	var at, x []float64
	for i := first; i < last; i++ {
		at = append(at, float64(s.times[i]-t)*1e-9/half)
		x = append(x, s.positions[i]-s.positions[first])
	}
	if len(at) < 5 || !p.fitTo(at, x, 4) {
		return 0, false
	}
	return p.slope(0) / half, true
}
