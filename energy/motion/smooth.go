package motion

import (
	"fmt"
	"math"
	"slices"

	"joulewell/energy"
)

// SmoothOptions shape a [Smoother]. Zero fields take the default.
type SmoothOptions struct {
	Gap          float64 // [s] longest silence between two points that is still bridged (default 0.100)
	Acceleration float64 // [m/s2] no motion is faster than this (default 50)
}

// Smoother estimates position and velocity after a run, from points on both sides of
// the asked instant alike. It chooses two numbers from the points themselves:
//
// Noise, the standard deviation of one point, from how far short stretches of points
// scatter about polynomials of degree 5 (the median over the run, so that false points
// do not count).
//
// HalfWidth, of the window a polynomial, cubic as a rule, is fitted in. Wide windows
// average noise and flatten the motion; the one taken has the least sum of both over
// the run. The noise of the velocity follows from the weights; the flattening is seen
// in how much a polynomial of degree 5 answers differently, less what noise makes of
// that difference. A straight line or a parabola takes the cubic's place where its risk is
// less than half of the cubic's, as of a bob that is carried or falls.
//
// Points are judged and left out, and answers given, as by [Live]. It is not safe for
// concurrent use.
type Smoother struct {
	Noise     float64 // [m] standard deviation of one point
	HalfWidth float64 // [s] of the window
	Bias      float64 // [m/s] root mean square, over the run, of what flattening does to the velocity

	reach  reach
	gate   gate
	track  track
	window window
}

const (
	smoothDegree = 3
	leastPoints  = 7   // points in the narrowest window
	persuasive   = 0.5 // share of a cubic's risk below which a lower degree is taken
	instants     = 300 // at which noise and flattening are looked at, spread over the run
)

// NewSmoother takes the points of a run: positions [m] at times [ns]. It refuses points
// out of order, values that are not finite, and runs too short to choose from.
func NewSmoother(times []int64, positions []float64, o SmoothOptions) (*Smoother, error) {
	if o.Gap == 0 {
		o.Gap = 0.100
	}
	if o.Acceleration == 0 {
		o.Acceleration = 50
	}
	switch {
	case len(times) != len(positions):
		return nil, fmt.Errorf("smooth run: %d times and %d positions: must be as many", len(times), len(positions))
	case !(o.Gap > 0 && o.Gap <= 1):
		return nil, fmt.Errorf("smooth run: gap = %g s: must lie above 0 and not above 1 s", o.Gap)
	case !(o.Acceleration > 0):
		return nil, fmt.Errorf("smooth run: acceleration = %g m/s2: must be positive", o.Acceleration)
	}
	s := &Smoother{track: newTrack(len(times), o.Gap)}
	for i, t := range times {
		if err := s.track.add(t, positions[i]); err != nil {
			return nil, fmt.Errorf("smooth run: point %d at %d ns: %w", i+1, t, err)
		}
	}
	if s.Noise = s.noise(); math.IsNaN(s.Noise) {
		return nil, fmt.Errorf("smooth run: %d points: no stretch of %d without a gap", len(times), noisePoints)
	}
	s.gate = gate{smoothDegree, s.Noise, o.Acceleration}
	s.choose()
	return s, nil
}

// At returns position [m] and velocity [m/s] at the instant t [ns]; see [Live.At].
func (s *Smoother) At(t int64) (position, velocity energy.Estimate, quality Quality) {
	w := &s.window
	if !s.judge(t) {
		return energy.None(), energy.None(), w.quality()
	}
	return w.read(s.Noise)
}

func (s *Smoother) judge(t int64) bool {
	w := &s.window
	s.track.window(w, t, s.reach, leastPoints)
	return w.judge(&s.gate)
}

// Nine points leave three degrees of freedom about a polynomial of degree 5.
const (
	noisePoints = 9
	// medianChi3 is the median of chi-squared with three degrees of freedom.
	medianChi3 = 2.365973884375338
)

// noise returns the standard deviation of one point, NaN when no stretch of points is
// long enough to tell.
func (s *Smoother) noise() float64 {
	k, w := &s.track, &s.window
	var sums []float64
	for _, i := range spread(len(k.times) - noisePoints + 1) {
		j := i + noisePoints
		if k.unbroken[i] != k.unbroken[j-1] {
			continue
		}
		w.take(k.times[i:j], k.positions[i:j], k.times[i], 1)
		if w.fitKept(maxTerms) {
			sums = append(sums, w.rss)
		}
	}
	if len(sums) == 0 {
		return math.NaN()
	}
	slices.Sort(sums)
	// Points that lie on a polynomial to the last digit still have some noise.
	return max(math.Sqrt(sums[len(sums)/2]/medianChi3), 1e-9)
}

// spread returns indices below n, evenly spread and at most as many as the instants.
func spread(n int) []int {
	var out []int
	step := max(1, (n+instants-1)/instants)
	for i := step / 2; i < n; i += step {
		out = append(out, i)
	}
	return out
}

// choose sets degree and half width to those of least risk.
func (s *Smoother) choose() {
	k := &s.track
	intervals := make([]int64, 0, len(k.times))
	for i := 1; i < len(k.times); i++ {
		intervals = append(intervals, k.times[i]-k.times[i-1])
	}
	slices.Sort(intervals)
	interval := float64(intervals[len(intervals)/2])

	s.gate.degree = smoothDegree
	least := s.bestWindow(interval)
	degree, half, bias := s.gate.degree, s.HalfWidth, s.Bias
	for s.gate.degree = 1; s.gate.degree < smoothDegree; s.gate.degree++ {
		if risk := s.bestWindow(interval); risk < persuasive*least {
			least, degree, half, bias = risk, s.gate.degree, s.HalfWidth, s.Bias
		}
	}
	s.gate.degree, s.HalfWidth, s.Bias = degree, half, bias
	s.reachTo(nanoseconds(half))
}

// bestWindow sets the half width to the candidate of least risk and returns that.
func (s *Smoother) bestWindow(interval float64) (least float64) {
	least, enough := math.Inf(1), 0
	for points := 4.0; points <= maxSide; points *= 1.25 {
		s.reachTo(int64(points * interval))
		risk, bias, answers, raised := s.risk()
		// Where the degree is raised nobody is left to tell what that flattens. Quick motion at few
		// points a second is seen no better by a narrower window.
		if raised*20 > answers && 2*points > many && !math.IsInf(least, 1) {
			break
		}
		// Where a window is so wide that answers go missing, its risk is that of the
		// easy rest of the run.
		enough = max(enough, answers*9/10)
		if answers < enough || risk > 4*least {
			break
		}
		if risk < least {
			least = risk
			s.HalfWidth, s.Bias = points*interval*1e-9, bias
		}
	}
	return least
}

func (s *Smoother) reachTo(half int64) {
	s.reach = reach{half, half, 2 * half, maxSide}
	s.window.settled = false // the degree may have changed too
}

// risk returns the mean squared deviation [m2/s2] to be expected of velocities with the
// present window, the root mean square of its part from flattening [m/s], at how many
// instants there was an answer, and at how many of these the degree was raised.
func (s *Smoother) risk() (risk, bias float64, answers, raised int) {
	w := &s.window
	var noise, flat float64
	for _, i := range spread(len(s.track.times)) {
		if !s.judge(s.track.times[i]) {
			continue
		}
		points, x := w.points()
		if !w.next.fitTo(points, x, maxTerms) {
			continue
		}
		_, low, _ := w.fit.gains(w.here)
		_, high, _ := w.next.gains(w.here)
		difference := w.next.slope(w.here) - w.fit.slope(w.here)
		variance, rate := s.Noise*s.Noise, 1/(w.scale*w.scale)
		noise += variance * low * rate
		flat += (difference*difference - variance*(high-low)) * rate
		answers++
		if w.fit.terms > s.gate.degree+1 {
			raised++
		}
	}
	if answers == 0 {
		return math.Inf(1), 0, 0, 0
	}
	noise, flat = noise/float64(answers), max(0, flat/float64(answers))
	return noise + flat, math.Sqrt(flat), answers, raised
}
