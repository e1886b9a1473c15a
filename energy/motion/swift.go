package motion

import "math"

// swift seeks the answer at t from sums alone, without a judgement of single points. It
// reports false where one is needed: where the points nearest by scatter more than is
// ordinary, or one of those since the boundary stands out.
func (l *Live) swift(t int64) bool {
	d, track := &l.wide, &l.track
	k := floor(t, cell)
	b := l.hindsight.at(k)
	if b == nil || !b.fair {
		return false
	}
	after, count, ok := track.around(t, b.since, l.reach.ahead)
	if !ok || count-after > side || track.times[count-1] < k*cell {
		return false
	}
	start := upTo(track.times, k*cell-1)
	d.extend(track, k, start, count)
	if d.state == summed {
		if !d.fitNear(l, b, ordinary) || d.largest(track, start, count) > coverage*coverage*max(d.nearNoise, l.gate.noise*l.gate.noise) {
			return false
		}
		d.state = nearby
	}
	d.here = float64(t-k*cell) * (1.0 / cell)
	return l.choose(b, d.near.slope(d.here), d.near.slopeGain(d.here), true)
}

// widen seeks the answer at t, around which the window is judged, from the points kept.
func (l *Live) widen(t int64) bool {
	w, d := &l.window, &l.wide
	k := floor(t, cell)
	b := l.hindsight.at(k)
	if b == nil {
		b = &boundary{noise: l.gate.noise * l.gate.noise}
	}
	joined := b.fair && b.since == w.since && w.last >= k*cell
	from := w.first
	if joined {
		from = k * cell
	}
	d.k, d.state, d.last, d.tried = k, stale, w.last, 0
	d.here = float64(t-k*cell) * (1.0 / cell)
	d.recent = sums{base: w.positions[upTo(w.times, from-1)]}
	d.recent.addFrom(w, from, math.MaxInt64, k*cell)
	d.nearNoise = w.rss / float64(w.kept-w.fit.terms)
	rate := cellSeconds / w.scale
	if l.choose(b, w.fit.slope(w.here)*rate, w.fit.slopeGain(w.here)*rate*rate, joined) {
		return true
	}
	// Once in a while noise alone has the degree raised, and asks to be followed.
	if !joined || w.fit.terms <= l.gate.degree+1 || !d.fitNear(l, b, unsuspicious) {
		return false
	}
	d.tried = 0
	return l.choose(b, d.near.slope(d.here), d.near.slopeGain(d.here), true)
}

// extend makes recent the sums of the points of the track from index start on to before
// count, which begin at the boundary k.
func (d *wide) extend(track *track, k int64, start, count int) {
	last := track.times[count-1]
	switch {
	case d.state == stale || d.k != k || last < d.last:
		d.k = k
		d.recent = sums{base: track.positions[start]}
	case last > d.last:
		start = upTo(track.times, d.last)
	default:
		return
	}
	for i := start; i < count; i++ {
		d.recent.addPoint(track.times[i], k*cell, track.positions[i])
	}
	d.last, d.state, d.tried = last, summed, 0
}

// largest returns the largest squared residual about near [m2] of some points of the track.
func (d *wide) largest(track *track, start, count int) (largest float64) {
	times, positions := track.times[start:count], track.positions[start:count]
	c := &d.near.coef
	c0, c1, c2, c3 := c[0]+d.recent.base, c[1], c[2], c[3]
	for i, t := range times {
		s := float64(t-d.k*cell) * (1.0 / cell)
		r := positions[i] - (((c3*s+c2)*s+c1)*s + c0)
		largest = max(largest, r*r)
	}
	return largest
}
