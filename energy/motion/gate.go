package motion

import "math"

// The gate: which points of the window does no smooth motion explain?
//
// First a plain fit through all points. If their scatter is what the stated noise
// gives, nothing is left out. If a polynomial one or two degrees higher does better,
// the motion was merely quick, and nothing is left out either. Otherwise the
// polynomial that agrees best with the larger half of the points is sought and what
// does not agree is left out (see outlier.go). Where that does not convince there is
// no answer.
//
// The gate knows a few neighbours only. A false echo that stays at one distance for
// longer than half the window is, from inside, a smooth motion.

const (
	// coverage is the allowed distance of a point in standard deviations. Of normal
	// noise one point in 1.7 million lies beyond.
	coverage = 5
	// raises is by how much the degree may be raised. Two serve 2.5 Hz at 25 points a
	// second; with more, seven points follow anything.
	raises = 2
	// understated is by how much the stated noise may be too small where no point is
	// left out, or many are kept.
	understated = 10
	many        = 16
	// alone is the leverage above which a false distance shows in the residuals only
	// if it is some fifty standard deviations off: 5/sqrt(1 - 0.99).
	alone = 0.99
)

// gate is what the judgement rests on.
type gate struct {
	degree       int     // of the polynomial where it suffices
	noise        float64 // [m] stated standard deviation of one position
	acceleration float64 // [m/s2] which no motion exceeds
}

// judge decides which points are left out and fits the others. It reports false
// when there is no answer.
func (w *window) judge(g *gate) bool {
	if w.settled {
		return w.enough() && w.plausible(g)
	}
	terms := g.degree + 1
	w.fit.terms = terms
	if !w.enough() || !w.fitKept(terms) {
		return false
	}
	fair := w.scatter(g.noise, unsuspicious)
	if fair && w.scatter(g.noise, ordinary) {
		w.settled = true
		return w.plausible(g)
	}
	for more := 1; more <= raises; more++ {
		if w.fitKept(terms+more) && w.scatter(g.noise, ordinary) && w.plausible(g) {
			return true
		}
	}
	if fair {
		return w.fitKept(terms) && w.plausible(g)
	}
	for more := 0; more <= raises; more++ {
		if !w.leaveOut(g.noise, terms+more) {
			return false
		}
		if w.convincing(g, g.noise) {
			return true
		}
		if more == 0 && w.kept == w.n {
			return w.convincing(g, understated*g.noise)
		}
	}
	return w.leaveOut(g.noise, terms) && w.kept >= many && w.convincing(g, understated*g.noise)
}

// convincing reports whether the fit through the points kept may be believed. They
// must outnumber terms and points left out, for each of these was a free choice, and
// scatter no more than the noise gives.
func (w *window) convincing(g *gate, noise float64) bool {
	left := w.n - w.kept
	return w.kept > w.fit.terms+left && (left == 0 || w.vouched()) && w.enough() &&
		w.scatter(noise, unsuspicious) && w.plausible(g)
}

// vouched reports whether the outermost points kept have company. One that stands
// alone beyond points left out draws the fit to itself wherever it stands: of its
// residual no more than 1 less its leverage is left.
func (w *window) vouched() bool {
	s, _ := w.points()
	first, _, _ := w.fit.gains(s[0])
	last, _, _ := w.fit.gains(s[len(s)-1])
	return max(first, last) < alone
}

// Limits of the sum of squared residuals, in units of the stated noise's variance.
// A window of few ordinary points exceeds the one about once in 200, the other about
// twice in 100 000. Of many points the stated noise may be a fifth too small.
func ordinary(dof float64) float64     { return 1.5*dof + 2.5*math.Sqrt(2*dof) + 3 }
func unsuspicious(dof float64) float64 { return 1.5*dof + 4*math.Sqrt(2*dof) + 12 }

// scatter reports whether the residuals of the points kept are within the limit, and
// no single one stands out.
func (w *window) scatter(noise float64, limit func(dof float64) float64) bool {
	dof := float64(w.kept - w.fit.terms)
	variance := max(noise*noise, w.rss/dof)
	return w.rss <= noise*noise*limit(dof) && w.largest <= coverage*coverage*variance
}

// plausible reports whether the fit's acceleration stays within the bound, or would
// without the noise. It is looked at where a polynomial goes astray first: at the
// ends of the window, and at the asked instant.
func (w *window) plausible(g *gate) bool {
	for _, s := range [...]float64{-1, w.here, 1} {
		beyond := math.Abs(w.fit.bend(s)) - g.acceleration*w.scale*w.scale
		if beyond <= 0 {
			continue
		}
		variance := max(g.noise*g.noise, w.rss/float64(w.kept-w.fit.terms))
		if beyond > 3*math.Sqrt(variance*w.fit.bendGain(s)) {
			return false
		}
	}
	return true
}

// fitKept fits the points not left out. It reports false when they are not more
// than the terms.
func (w *window) fitKept(terms int) bool {
	w.settled = false
	w.fit.terms = terms
	s, x := w.points()
	if len(s) <= terms || !w.fit.fitTo(s, x, terms) {
		return false
	}
	w.rss, w.largest = w.fit.residuals(s, x, w.spare[:len(s)])
	return true
}
