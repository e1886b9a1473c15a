package trials

import (
	"math"
	"slices"
)

// channel is one sensor's readings in order of time.
type channel struct {
	t, y  []float64 // [s] and [m]: forces as the places that the spring's rate gives them
	noise float64   // [m] of one
}

// between cuts a channel.
func (c channel) between(from, to float64) channel {
	i, _ := slices.BinarySearch(c.t, from)
	j, _ := slices.BinarySearch(c.t, to)
	return channel{c.t[i:j], c.y[i:j], c.noise}
}

// law is a swing as the spring law has it: y = middle + a(s) cos w t + b(s) sin w t, s
// running from 0 at the release to 1 at the end and a, b parabolas in it, which takes up
// any friction and a frequency that is a little off.
type law struct {
	fit    solution
	start  float64   // [s] the release
	length float64   // [s]
	w      float64   // [rad/s]
	bends  int       // [1] terms of a and of b
	noise  float64   // [m] scatter of one reading, as it is seen
	kept   channel   // the readings, false ones left out
	falls  []fall    // that the law consists of; none = one swing as a whole
	rough  []float64 // coefficients of falls by which the frequency's part is told
}

const (
	bends   = 3    // terms of a and of b
	wild    = 4.5  // [1] scatters from which on a reading is false
	detuned = 0.03 // [1] by which the frequency may be off
)

// row appends to to[:0] what multiplies the coefficients at an instant.
func (l *law) row(t float64, to []float64) []float64 {
	if l.falls != nil {
		return l.rowOfFalls(t, to)
	}
	s := (t - l.start) / l.length
	sin, cos := math.Sincos(l.w * (t - l.start))
	to = append(to[:0], 1)
	for range l.bends {
		to = append(to, cos, sin)
		cos, sin = cos*s, sin*s
	}
	return to
}

// lawOf fits the law with a frequency near the one foretold. It reports false where the
// readings are too few.
func lawOf(c channel, start, w float64, bends int) (*law, bool) {
	if len(c.t) < 2*(1+2*bends) {
		return nil, false
	}
	l := &law{start: start, length: c.t[len(c.t)-1] - start, w: w, bends: bends}
	return l, l.settle(c)
}

// settle finds the fit and the readings that are false by it.
func (l *law) settle(c channel) bool {
	for range 3 {
		if !l.tune(c) {
			return false
		}
		l.sort(c)
	}
	return true
}

// tune finds the frequency near the present one that fits best, false readings left out.
func (l *law) tune(c channel) bool {
	sound := c
	if l.kept.t != nil {
		sound = l.kept
	}
	best, w := math.Inf(1), l.w
	var row []float64
	try := func(at float64) {
		l.w = at
		m := newLinear(1 + 2*l.bends)
		for i, t := range sound.t {
			row = l.row(t, row)
			m.add(row, sound.y[i]-c.y[0])
		}
		if s, ok := m.solve(); ok && s.misfit < best {
			s.values[0] += c.y[0]
			best, w, l.fit = s.misfit, at, s
		}
	}
	from, to := l.w*(1-detuned), l.w*(1+detuned)
	step := min(detuned*l.w/4, 0.5/l.length)
	if l.bends == 1 || l.falls != nil { // too short to tell, or told otherwise
		from, to = l.w, l.w
	}
	for at := from; at <= to; at += step {
		try(at)
	}
	l.w = w
	return best < math.Inf(1)
}

// sort tells the scatter of what the law leaves over, by the median, and keeps the readings
// that are not false by it.
func (l *law) sort(c channel) {
	off := make([]float64, len(c.t))
	var row []float64
	for i, t := range c.t {
		row = l.row(t, row)
		off[i] = math.Abs(c.y[i] - l.fit.at(row))
	}
	l.noise = max(c.noise, 1.4826*slices.Sorted(slices.Values(off))[len(off)/2])
	l.kept = channel{noise: c.noise}
	for i, o := range off {
		if o <= wild*l.noise {
			l.kept.t, l.kept.y = append(l.kept.t, c.t[i]), append(l.kept.y, c.y[i])
		}
	}
}

// parts returns the swing about its middle at an instant, and the same a quarter of a swing
// later.
func (l *law) parts(t float64) (along, across float64) {
	row := l.row(t, nil)
	for i := 1; i < len(row); i += 2 {
		a, b := l.fit.values[i], l.fit.values[i+1]
		along += a*row[i] + b*row[i+1]
		across += b*row[i] - a*row[i+1]
	}
	return along, across
}
