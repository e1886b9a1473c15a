package trials

import (
	"math"
	"slices"
)

// fall is a stretch of a swing about a lowest point, in which every coil is open.
type fall struct {
	at       float64 // [s] of the lowest point, roughly
	from, to float64 // [s]
}

const (
	openWidth = 0.36 // [1] whole swings to either side of a lowest point in which coils are open
	mostFalls = 6    // that tell the decay
	backAbove = 0.25 // [1] of the swing above its middle from which on a fall is over
)

// falls returns the first falls after an instant: where a channel of a swing of such an
// amplitude and such a period [s] lies below a middle.
func (c channel) falls(after, middle, amplitude, period float64) (all []fall) {
	c = c.between(after, math.Inf(1))
	begun := math.NaN()
	for i := 1; i+1 < len(c.y); i++ {
		three := []float64{c.y[i-1], c.y[i], c.y[i+1]} // one of them may be false
		slices.Sort(three)
		switch y := three[1] - middle; {
		case math.IsNaN(begun) && y < 0:
			begun = c.t[i]
		case !math.IsNaN(begun) && y > backAbove*amplitude:
			ended := begun
			for k := i; k > 0 && c.t[k] > begun; k-- {
				if c.y[k] < middle {
					ended = c.t[k]
					break
				}
			}
			at := (begun + ended) / 2
			all = append(all, fall{at, max(after, at-openWidth*period), at + openWidth*period})
			begun = math.NaN()
			if len(all) == mostFalls {
				return all
			}
		}
	}
	return all
}

// within cuts the readings in falls out of a channel.
func (c channel) within(falls []fall) channel {
	cut := channel{noise: c.noise}
	for _, f := range falls {
		part := c.between(f.from, f.to)
		cut.t, cut.y = append(cut.t, part.t...), append(cut.y, part.y...)
	}
	return cut
}

// lawOfFalls fits falls with one middle, one frequency that is foretold to within a share
// of itself, and an amplitude for each. It reports false where there are too few readings
// or falls to tell the decay.
func lawOfFalls(c channel, falls []fall, start, w, unsure float64) (*law, bool) {
	const least = 2
	c = c.within(falls)
	n := len(falls)
	if n < least || len(c.t) < 2*(2+2*n) {
		return nil, false
	}
	l := &law{start: start, length: c.t[len(c.t)-1] - start, w: w, bends: n, falls: falls}
	if !l.settle(c) {
		return nil, false
	}
	l.rough = l.fit.values
	for range 2 { // the second time with the scatter that the first leaves
		if !l.loosen(unsure) {
			return nil, false
		}
		l.sort(c)
	}
	return l, true
}

// rowOfFalls is the law's row where it is one of falls. Once these are roughly known it ends
// with what a frequency higher by a share of itself changes.
func (l *law) rowOfFalls(t float64, to []float64) []float64 {
	to = append(to[:0], 1)
	slope := 0.0
	for n, f := range l.falls {
		if t < f.from || t > f.to {
			to = append(to, 0, 0)
			continue
		}
		angle := l.w * (t - f.at)
		sin, cos := math.Sincos(angle)
		to = append(to, cos, sin)
		if l.rough != nil {
			slope = angle * (l.rough[2+2*n]*cos - l.rough[1+2*n]*sin)
		}
	}
	if l.rough != nil {
		to = append(to, slope)
	}
	return to
}

// loosen fits once more with the frequency among the coefficients, so that it adds to
// their uncertainties.
func (l *law) loosen(unsure float64) bool {
	frequency := 1 + 2*l.bends
	m := newLinear(frequency + 1)
	var row []float64
	for i, t := range l.kept.t {
		row = l.row(t, row)
		m.add(row, l.kept.y[i]-l.rough[0])
	}
	m.prior(frequency, unsure/l.noise)
	f, ok := m.solve()
	if ok {
		f.values[0] += l.rough[0]
		l.fit = f
	}
	return ok
}

// reach is the law's amplitude [m] at the release, and by how much it changes with each of
// the first coefficients. A swing of falls is followed back half a swing before the first,
// as it decays from each to the next by an equal share.
func (l *law) reach() (a float64, slopes []float64) {
	n := max(1, len(l.falls))
	mean, square := float64(n)/2, float64(n)*(float64(n*n)-1)/12 // of the swings since the release
	slopes = make([]float64, 1+2*n)
	sum := 0.0
	for k := range n {
		share := 1.0
		if n > 1 {
			share = 1/float64(n) - mean*(float64(k)+0.5-mean)/square
		}
		x, y := l.fit.values[1+2*k], l.fit.values[2+2*k]
		sum += share * math.Log(math.Hypot(x, y))
		slopes[1+2*k], slopes[2+2*k] = share*x/(x*x+y*y), share*y/(x*x+y*y)
	}
	a = math.Exp(sum)
	for i := range slopes {
		slopes[i] *= a
	}
	return a, slopes
}
