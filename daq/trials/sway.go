package trials

import (
	"math"
	"slices"

	"joulewell/calib"
)

const (
	leastSway = 0.2e-3 // [m] detour that is worth a word
	chance    = 12.0   // [1] minus the logarithm of the chance of so much by noise alone
	beyondAll = 10.0   // [1] by how much the sway stands out from other frequencies
	apart     = 1.5    // [1] beats over the trial from which on a sway is told from a swing that is no sinusoid
	leaks     = 8      // steps of frequency to which a sway leaks
	aside     = 0.10   // [1] relative range of frequencies looked at, to either side
	fewOthers = 5      // frequencies to compare with
)

// sway looks for a sideways swing. It lengthens the path to the bob twice in each of its
// own periods, by more the nearer the bob is to a ranger below it: what the law of the
// swing leaves over is held against a detour of that form at twice the pendulum's
// frequency, and at others, where there should be none.
func (v *view) sway(end float64) (detour float64, all []Finding) {
	hanging := v.body.apparatus.Support.Value - v.body.neutral - v.body.apparatus.Bob.Length.Value/2
	twice := 2 * math.Sqrt(v.body.apparatus.Gravity.Value/hanging) // [rad/s]
	s, ok := v.swaying(end, hanging)
	if !ok {
		return 0, nil
	}
	surest, angle, at := 0.0, 0.0, 0.0
	var others []float64
	fine := math.Pi / 2 / (end - v.release)
	for w := twice / 2; w <= 3*twice; w += fine {
		squared, sure, ok := s.try(w)
		switch off := math.Abs(w - twice); {
		case !ok:
		case off > aside*twice+leaks*fine:
			others = append(others, sure)
		case v.closes() && math.Abs(w-v.frequency())*(end-v.release) < apart*2*math.Pi:
		case off < aside*twice && sure > surest:
			surest, angle, at = sure, math.Sqrt(2*squared), w
		}
	}
	if len(others) < fewOthers || !(surest > chance) {
		return 0, nil
	}
	slices.Sort(others)
	slices.Sort(s.forms)
	detour = angle * angle / 2 * s.forms[len(s.forms)/2]
	if !(math.Abs(detour) > leastSway && surest > beyondAll*others[len(others)/2]) {
		return 0, nil
	}
	return math.Abs(detour), finding(Sway, true, "the distance wavers by %.1f mm %.2f times a second, as if the bob swung sideways by %.0f degrees to either side: let it hang still sideways before lifting it straight up",
		1e3*math.Abs(detour), at/(2*math.Pi), angle*180/math.Pi)
}

// detour is by how much the path to a bob at a height is longer for each square of the
// angle by which a pendulum of length l is aside: from below by l/2 + l^2/(2 d), d away;
// from the support by d/2.
func (v *view) detour(height, l float64) float64 {
	c := &v.bench.Calibration.Distance
	d := height - c.Offset.Value
	if c.Mounting == calib.Support {
		return -d / 2
	}
	return l / 2 * (1 + l/max(d, c.Min, l/50))
}

// swaying is a swing without sway, and a sway that may be on top of it.
type swaying struct {
	sight    channel
	base     [][]float64 // what a swing without sway consists of, for each reading
	expected []float64   // [m]
	priors   []float64   // [1] standard uncertainties of the coefficients of base; 0 = not known
	forms    []float64   // [m] detour of each reading, for an angle of one
	start    float64     // [s]
	misfit   float64     // [m2] without a sway
}

// swaying prepares the distances since the release. Where the forces follow the swing well
// they tell what the distances would be; else these must tell it themselves, and a sway that
// keeps step with the bob all the time is taken for a part of its swing.
func (v *view) swaying(end, hanging float64) (*swaying, bool) {
	l, ok := lawOf(v.sight.between(v.release+v.body.half/8, end), v.release, v.frequency(), bends)
	if !ok {
		return nil, false
	}
	s := &swaying{sight: l.kept, start: v.release}
	felt, share, byForce := v.followed(end, l)
	for i, t := range l.kept.t {
		row := l.row(t, nil)
		expected := l.kept.y[0]
		if byForce {
			along, across := felt.parts(t)
			row = []float64{1, along / share, across / share}
			expected = v.body.neutral + along/share
		}
		if v.closes() {
			for n := 2.0; n <= 3; n++ {
				sin, cos := math.Sincos(n * l.w * (t - l.start))
				row = append(row, cos, sin)
			}
		}
		s.base, s.expected = append(s.base, row), append(s.expected, expected)
		s.forms = append(s.forms, v.detour(l.kept.y[i], hanging))
	}
	s.priors = make([]float64, len(s.base[0]))
	if byForce {
		s.priors[1], s.priors[2] = likeForce, likeForce
	}
	f, ok := s.fit(math.NaN())
	s.misfit = f.misfit
	return s, ok
}

// followed fits the forces and reports whether they tell the swing better than the distances
// themselves, and which share of its amplitude they show.
func (v *view) followed(end float64, seen *law) (felt *law, share float64, ok bool) {
	felt, ok = lawOf(v.cell.between(v.release+v.body.half/8, end), v.release, seen.w, bends)
	if !ok || v.closes() {
		return nil, 0, false
	}
	kept, _ := averaged(felt.w, 2*v.bench.Calibration.Force.Delay.Value)
	own := felt.noise / math.Sqrt(float64(len(felt.kept.t))) / max(kept, 1e-3)
	m := modeOf(v.ratio())
	return felt, kept * m.top / m.bob, kept > leastKept && own < betterBy*seen.noise/math.Sqrt(float64(len(seen.kept.t)))
}

const (
	likeForce = 0.01 // [1] by which the swing in distances and forces may differ, of its amplitude
	betterBy  = 1.0  // [1] share of the distances' noise that the forces' may be
)

// fit fits base, and a sway of angular frequency w unless that is NaN.
func (s *swaying) fit(w float64) (solution, bool) {
	p := len(s.base[0])
	more := 2
	if math.IsNaN(w) {
		more = 0
	}
	m := newLinear(p + more)
	row := make([]float64, p+2)
	for i, t := range s.sight.t {
		copy(row, s.base[i])
		if more > 0 {
			sin, cos := math.Sincos(w * (t - s.start))
			row[p], row[p+1] = s.forms[i]*cos, s.forms[i]*sin
		}
		m.add(row[:p+more], s.sight.y[i]-s.expected[i])
	}
	for k, u := range s.priors {
		if u > 0 {
			m.prior(k, u/s.sight.noise)
		}
	}
	return m.solve()
}

// try adds a sway of angular frequency w and returns half the square of its angle, which
// wavers, and how sure it is: minus the logarithm of the chance of such an improvement.
func (s *swaying) try(w float64) (squared, sure float64, ok bool) {
	f, ok := s.fit(w)
	if !ok || f.spare < 1 {
		return 0, 0, false
	}
	p := len(s.base[0])
	scatter := max(f.misfit/float64(f.spare), s.sight.noise*s.sight.noise)
	return math.Hypot(f.values[p], f.values[p+1]), (s.misfit - f.misfit) / (2 * scatter), true
}
