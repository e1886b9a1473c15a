package motion

import (
	"math"

	"joulewell/energy"
)

// wide is the fit that answers: by the choice that served best of late, through the points
// since the last boundary and the cells before it. Times are cells after that boundary.
type wide struct {
	k      int64
	here   float64 // the asked instant
	stray  float64 // [m2/cell2] expected square of what the choice does to the slope
	*trial         // that answers

	value, slope, both float64 // variances of value and slope at here, and their covariance, for points of variance 1

	near      polynomial // of the gate's degree, through the points nearest by
	nearNoise float64    // [m2] variance of one point about it

	// What is kept between instants that share points. Points are added in the order of
	// time, so that it makes no difference how many were there before.
	recent sums  // since the boundary
	last   int64 // [ns] the last of them
	state  state
	trials [8]trial // of the first choices tried, and of the one tried last
	tried  int      // how many hold
}

// trial is the fit by one choice.
type trial struct {
	choice choice
	fit    polynomial
	points float64 // [1] that the fit goes through
	first  int64   // [ns] instant where they begin
	rss    float64 // [m2] about the fit
	fair   bool    // they scatter as they should
}

// state says how much of a wide still holds at the next instant.
type state int

const (
	stale  state = iota // nothing
	summed              // recent
	nearby              // near as well, and the trials
)

// contradiction is the squared difference of two slopes, in its variance, which is not
// put down to chance.
const contradiction = 12

// choose takes the best choice about which the points scatter as they should and which does not
// contradict the slope of the points nearest by, of variance near. After one that fails
// only shorter windows are looked at: what served of late does so no more when the bob
// is let go. It reports false when none is left.
func (l *Live) choose(b *boundary, slope, near float64, joined bool) bool {
	d, noise, longest := &l.wide, b.noise, lengths
	if b.ranks == 0 {
		noise = max(noise, d.nearNoise)
	}
	tried := 0
	for i := range choices {
		c := plainest(i)
		if b.ranks > 0 {
			if i == b.ranks {
				break
			}
			if c = b.rank[i]; c.length() >= longest {
				continue
			}
		}
		tried++
		if !d.try(tried-1, b, c, noise, joined) {
			longest = c.length()
			continue
		}
		d.value, d.slope, d.both = d.fit.gains(d.here)
		off := d.fit.slope(d.here) - slope
		if off*off <= contradiction*noise*max(math.Abs(near-d.slope), near/10) {
			d.stray = b.stray[c]
			return true
		}
		longest = c.length()
	}
	return false
}

// plainest orders the choices where there is no hindsight: by degree, and of the same
// degree the longest first.
func plainest(i int) choice { return choice(i + lengths - 1 - 2*(i%lengths)) }

// try makes trial the fit by the choice c, the number-th one tried for this answer, and reports
// whether the points scatter about it as they should. The cells before the boundary belong
// to them if joined.
func (d *wide) try(number int, b *boundary, c choice, noise float64, joined bool) bool {
	number = min(number, len(d.trials)-1)
	if d.trial = &d.trials[number]; number < d.tried && d.choice == c {
		return d.fair
	}
	d.tried = number
	if number < len(d.trials)-1 {
		d.tried++
	}
	m := d.recent
	if joined {
		m.join(&b.cells[c.length()], 0)
	}
	d.choice, d.points, d.first, d.fair = c, m.s[0], m.first, false
	dof := m.s[0] - float64(c.terms())
	if dof < 2 || !d.fit.fitMoments(&m.moments, c.terms()) {
		return false
	}
	d.rss = m.residuals(&d.fit)
	d.fair = d.rss <= noise*(dof+3*math.Sqrt(2*dof)+2)
	return d.fair
}

// fitNear fits the points nearest by, and reports whether they scatter as the limit allows.
func (d *wide) fitNear(l *Live, b *boundary, limit func(dof float64) float64) bool {
	var m sums
	for length := range lengths {
		m = d.recent
		m.join(&b.cells[length], 0)
		if m.s[0] >= float64(l.opt.Points) {
			break
		}
	}
	terms := l.gate.degree + 1
	if m.s[0] < float64(terms+1) || !d.near.fitMoments(&m.moments, terms) {
		return false
	}
	rss, dof := m.residuals(&d.near), m.s[0]-float64(terms)
	d.nearNoise = rss / dof
	most := l.gate.acceleration * cellSeconds * cellSeconds
	return rss <= l.gate.noise*l.gate.noise*limit(dof) &&
		math.Abs(d.near.bend(-float64(back[0]))) <= most && math.Abs(d.near.bend(float64(l.reach.ahead)/cell)) <= most
}

// read reads the fit at the asked instant.
func (d *wide) read(q Quality, stated float64) (position, velocity energy.Estimate, _ Quality) {
	q.Points, q.Degree = int(d.points), d.fit.terms-1
	q.Span = float64(d.last-d.first) * 1e-9
	q.Scatter = math.Sqrt(d.rss / (d.points - float64(d.fit.terms)))
	noise := max(stated, q.Scatter)
	root := math.Sqrt(d.slope) / cellSeconds
	q.VelocityNoise = stated * root
	q.VelocityBias = math.Sqrt(d.stray) / cellSeconds
	q.Covariance = noise * noise * d.both / cellSeconds
	velocity = energy.Estimate{
		Value: d.fit.slope(d.here) / cellSeconds,
		U:     math.Hypot(noise*root, q.VelocityBias),
	}
	position = energy.Estimate{
		Value: d.recent.base + d.fit.at(d.here),
		// What flattens the velocity shifts the position, by twice as much in its noise.
		U: math.Sqrt(d.value) * math.Hypot(noise, 2*q.VelocityBias/root),
	}
	return position, velocity, q
}
