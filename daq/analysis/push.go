package analysis

import (
	"math"

	"joulewell/energy"
	"joulewell/energy/motion"
)

// Push is the speed with which a bob left the hand. Its readings alone tell: at rest until
// some instant, on a smooth path from then on,
//
//	x(t) = h                                  until t0
//	x(t) = h + v s + a2 s^2 + ... + a4 s^4    from then on, s = t - t0
//
// fitted by least squares with v free and with v = 0. How much better the first fits says
// how surely the bob was pushed.
type Push struct {
	Speed  energy.Estimate // [m/s] upward; its uncertainty is the speed over the square root of what it betters the sum of squares by
	Pushed bool            // surely so
}

const (
	sure       = 3.5  // standard deviations from which a push is believed
	pathShare  = 0.25 // of a period after the release that is looked at: degree 4 leaves 2e-4 of the amplitude there
	blocks     = 120  // in a period: denser readings are drawn together
	pathTerms  = 4    // h, a2 to a4
	beforePath = 0.5  // [s] of the rest before it that are looked at
	leastPath  = 12   // blocks on the path: with fewer, nothing is said
)

// push looks at the release of a swing of so long a period [s]; nil where too little of it
// was read.
func (a *analyser) push(s *Swing, p part, period float64) *Push {
	series := &s.epoch.heights
	moves := series.Times[p.from]
	from := indexOf(series.Times, max(series.Times[p.held.from], moves-nanoseconds(beforePath)))
	to := min(indexOf(series.Times, moves+nanoseconds(pathShare*period)), p.to)
	d := gather(motion.Series{Times: series.Times[from:to], Values: series.Values[from:to]}, moves, period/blocks, a.run.Noise)
	d.width = pathShare * period
	after := 0 // blocks in motion
	for _, t := range d.t {
		if t > 0 {
			after++
		}
	}
	if after < leastPath || d.t[len(d.t)-1] < d.width/2 {
		return nil
	}
	var rest, pushed fitted
	for range 2 {
		rest = d.settle(fitted{at: -letGo / 3}, false)
		pushed = rest
		for _, speed := range [...]float64{-0.2, 0.2} {
			if f := d.settle(fitted{at: rest.at, speed: speed}, true); f.misfit < pushed.misfit {
				pushed = f
			}
		}
		if !d.clip(pushed) {
			break
		}
	}
	freedom := float64(len(d.t) - pathTerms - 2)
	better := (rest.misfit - pushed.misfit) / math.Max(1, pushed.misfit/freedom)
	if math.IsNaN(better) || math.IsInf(better, 0) {
		return nil
	}
	u := math.Abs(pushed.speed) / math.Sqrt(math.Max(better, 1e-6))
	return &Push{Speed: energy.Estimate{Value: pushed.speed, U: u}, Pushed: better > sure*sure}
}
