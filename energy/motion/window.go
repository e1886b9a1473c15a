package motion

import (
	"math"

	"joulewell/energy"
)

const (
	maxSide = 256           // points on either side of the asked instant
	maxN    = 2*maxSide + 1 // points in a window
)

// window holds the points around one instant, in scaled time, and the fit through
// them. It is scratch space, filled afresh for each answer.
type window struct {
	n     int     // points in the window, in order of time
	after int     // index of the first point later than the asked instant
	at    bool    // the point before that one stands at the asked instant exactly
	here  float64 // the asked instant in scaled time
	gap   float64 // longest silence bridged, in scaled time
	scale float64 // [s] of one unit of scaled time
	base  float64 // [m] from which the positions are counted

	s   [maxN]float64 // instants in scaled time, -1 to 1 over the window
	x   [maxN]float64 // positions less base [m]
	out [maxN]bool    // left out

	// Instants that lie between the same points share a fit. It is remembered in the
	// common case, in which nothing is left out and the degree is not raised.
	first, last int64     // [ns] instants of the outermost points
	times       []int64   // [ns] of the points, in the track: good until the next one is added
	positions   []float64 // [m] likewise
	since       int64     // [ns] the last silence ended
	cut         bool      // more points were there on one side than are used
	settled     bool      // fit goes through all the points and is believed
	nextFitted  bool      // next does so too
	nextFits    bool      // and the points determine it

	fit     polynomial    // through the points kept
	next    polynomial    // one degree higher
	kept    int           // number of those
	rss     float64       // their residual sum of squares [m2]
	largest float64       // the largest of those squares [m2]
	r       [maxN]float64 // residuals of all points [m]
	ks, kx  [maxN]float64 // the points kept, moved together
	spare   [maxN]float64
}

// take fills w with points, of which the one of index after is the first later than
// t. Times are centred and scaled, so that their powers stay
// near 1; positions are counted from the middle point, so that a bob two metres up
// costs no digits.
func (w *window) take(times []int64, positions []float64, t int64, after int) {
	w.after = after
	w.times, w.positions = times, positions
	w.at = after > 0 && times[after-1] == t
	if w.settled && w.n == len(times) && w.first == times[0] && w.last == times[w.n-1] {
		w.here = float64(t-w.first)*(2/float64(max(w.last-w.first, 1))) - 1
		return
	}
	w.n = len(times)
	w.kept = w.n
	w.settled, w.nextFitted = false, false
	clear(w.out[:w.n])
	if w.n == 0 {
		w.scale, w.here = 1, 0
		return
	}
	start := times[0]
	w.first, w.last = start, times[w.n-1]
	width := max(w.last-start, 1)
	w.scale = float64(width) * 0.5e-9
	inverse := 2 / float64(width)
	w.here = float64(t-start)*inverse - 1
	w.base = positions[w.n/2]
	s, x := w.s[:w.n], w.x[:w.n]
	positions = positions[:w.n]
	for i, ti := range times {
		s[i] = float64(ti-start)*inverse - 1
		x[i] = positions[i] - w.base
	}
}

// enough reports whether the points kept support an answer of the fit's terms: one
// point more than terms, some on either side of the asked instant, and no silence
// around it longer than the gap.
func (w *window) enough() bool {
	if w.kept < w.fit.terms+1 {
		return false
	}
	before, after := w.after-1, w.after
	if w.at {
		before--
	}
	for before >= 0 && w.out[before] {
		before--
	}
	for after < w.n && w.out[after] {
		after++
	}
	if before < 0 || after >= w.n {
		return false
	}
	if w.at && !w.out[w.after-1] {
		return max(w.s[after]-w.here, w.here-w.s[before]) <= w.gap
	}
	return w.s[after]-w.s[before] <= w.gap
}

// read reads the fit at the asked instant.
func (w *window) read(stated float64) (position, velocity energy.Estimate, q Quality) {
	q = w.quality()
	value, slope, both := w.fit.gains(w.here)
	q.Scatter = math.Sqrt(w.rss / float64(w.kept-w.fit.terms))
	noise := max(stated, q.Scatter)
	bias := w.bias(noise, slope)
	q.VelocityNoise = stated * math.Sqrt(slope) / w.scale
	q.VelocityBias = bias / w.scale
	q.Covariance = noise * noise * both / w.scale
	position = energy.Estimate{Value: w.base + w.fit.at(w.here), U: noise * math.Sqrt(value)}
	velocity = energy.Estimate{
		Value: w.fit.slope(w.here) / w.scale,
		U:     math.Hypot(noise*math.Sqrt(slope), bias) / w.scale,
	}
	return position, velocity, q
}

// bias estimates by how much the fit misses the slope at the asked instant because
// its degree is too low: by how much the answer of the next degree differs, less what
// noise makes of that difference (for nested fits its variance is the difference of
// the two variances; low is that of the fit's slope, for points of variance 1). The
// position is hardly touched.
//
// Of many points it is zero: with those the scatter tells of a degree too low long
// before it matters, and the degree is raised.
func (w *window) bias(noise, low float64) float64 {
	if w.kept > few || w.fit.terms == maxTerms || w.kept <= w.fit.terms+1 {
		return 0
	}
	if !w.nextFitted {
		s, x := w.points()
		w.nextFits = w.next.fitTo(s, x, w.fit.terms+1)
		w.nextFitted = w.settled
	}
	if !w.nextFits {
		return 0
	}
	high := w.next.slopeGain(w.here)
	difference := w.next.slope(w.here) - w.fit.slope(w.here)
	return math.Sqrt(max(0, difference*difference-noise*noise*(high-low)))
}

// few points cannot tell by their scatter that the degree is too low.
const few = 32

// points returns the points kept.
func (w *window) points() (s, x []float64) {
	if w.kept == w.n {
		return w.s[:w.n], w.x[:w.n]
	}
	s, x = w.ks[:0], w.kx[:0]
	for i := range w.n {
		if !w.out[i] {
			s, x = append(s, w.s[i]), append(x, w.x[i])
		}
	}
	return s, x
}

// quality says what is known without an answer.
func (w *window) quality() Quality {
	q := Quality{
		Points: w.kept, LeftOut: w.n - w.kept, Degree: w.fit.terms - 1,
		Scatter: math.NaN(), Covariance: math.NaN(), VelocityNoise: math.NaN(), VelocityBias: math.NaN(),
	}
	q.Outlier = w.at && w.out[w.after-1]
	first, last := 0, w.n-1
	for first < last && w.out[first] {
		first++
	}
	for last > first && w.out[last] {
		last--
	}
	if w.n > 0 {
		q.Span = (w.s[last] - w.s[first]) * w.scale
	}
	return q
}
