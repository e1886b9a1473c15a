package motion

// sums are what a fit needs to know of a group of points. Groups are joined by adding their
// sums, so that a point is looked at once, however many windows hold it.
type sums struct {
	moments
	xx    float64 // [m2] of the squared positions
	base  float64 // [m] from which positions are counted
	first int64   // [ns] instant of the first point
}

// addFrom adds the points of w from one instant [ns] on to before another, but for
// those left out. Time is counted in cells from the origin.
func (m *sums) addFrom(w *window, from, to, origin int64) {
	for i := upTo(w.times, from-1); i < w.n && w.times[i] < to; i++ {
		if !w.out[i] {
			m.addPoint(w.times[i], origin, w.positions[i])
		}
	}
}

// addPoint adds a point later than those before.
func (m *sums) addPoint(t, origin int64, position float64) {
	if m.s[0] == 0 {
		m.first = t
	}
	x := position - m.base
	m.moments.add([]float64{float64(t-origin) * (1.0 / cell)}, []float64{x})
	m.xx += x * x
}

// join adds the points of other, whose origin lies shift after that of m.
func (m *sums) join(other *sums, shift float64) {
	if other.s[0] == 0 {
		return
	}
	if m.s[0] == 0 || other.first < m.first {
		m.first = other.first
	}
	o := *other
	if d := o.base - m.base; d != 0 {
		o.xx += d * (2*o.xs[0] + d*o.s[0])
		for k := range o.xs {
			o.xs[k] += d * o.s[k]
		}
	}
	if shift != 0 {
		displace(o.s[:], shift)
		displace(o.xs[:], shift)
	}
	for k, v := range o.s {
		m.s[k] += v
	}
	for k, v := range o.xs {
		m.xs[k] += v
	}
	m.xx += o.xx
}

// displace turns sums of s^k into those of (s + by)^k, by the rule of Pascal's triangle.
func displace(m []float64, by float64) {
	for first := 1; first < len(m); first++ {
		for k := len(m) - 1; k >= first; k-- {
			m[k] += by * m[k-1]
		}
	}
}

// residuals returns the sum of squared residuals [m2] of the points about p, fitted to them.
func (m *sums) residuals(p *polynomial) float64 {
	sum := m.xx
	for k := range p.terms {
		sum -= p.coef[k] * m.xs[k]
	}
	return max(0, sum)
}
