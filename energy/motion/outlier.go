package motion

import "math"

// The robust step of the gate.
//
// Source: Rousseeuw, Least median of squares regression, J. Am. Stat. Assoc. 79
// (1984) 871; quantile and scale factor from Rousseeuw and Leroy, Robust regression
// and outlier detection (1987).

// tries is the number of point sets tried. Of sets of four points drawn from many of
// which 40 % are bad, one in eight is clean: 96 fail once in 300 000.
const tries = 96

// leaveOut finds the points to leave out and fits the others: it seeks the polynomial
// that agrees best with the larger half of the points, refines it by ordinary fits
// through those, and leaves out every point farther from the result than the scatter
// and the fit's own uncertainty allow.
func (w *window) leaveOut(noise float64, terms int) bool {
	agreeing := w.n/2 + (terms+1)/2
	if agreeing >= w.n || !w.search(noise, terms, agreeing) {
		return false
	}
	w.keepNearest(agreeing)
	if !w.refit(terms) {
		return false
	}
	small := 1 + 5/float64(w.n-terms)
	for range 5 {
		scatter := max(noise, 1.4826*small*w.quantile(agreeing))
		if !w.readmit(coverage * scatter) {
			break
		}
		if !w.refit(terms) {
			return false
		}
	}
	return true
}

// refit fits the points kept and finds the residuals of all.
func (w *window) refit(terms int) bool {
	if !w.fitKept(terms) {
		return false
	}
	w.fit.residuals(w.s[:w.n], w.x[:w.n], w.r[:w.n])
	return true
}

// search sets the fit to the polynomial through as many points as it has terms to
// which the agreeing points nearest to it are nearest. It is content with one whose
// distance to them noise alone explains.
func (w *window) search(noise float64, terms, agreeing int) bool {
	best := math.Inf(1)
	var found polynomial
	var chosen [maxTerms]int
	for try := range tries {
		choose(chosen[:terms], w.n, try)
		for i, k := range chosen[:terms] {
			w.ks[i], w.kx[i] = w.s[k], w.x[k]
		}
		if !w.fit.fitTo(w.ks[:terms], w.kx[:terms], terms) {
			continue
		}
		w.fit.residuals(w.s[:w.n], w.x[:w.n], w.r[:w.n])
		if q := w.quantile(agreeing); q < best {
			best, found = q, w.fit
			if q < 2*noise {
				break
			}
		}
	}
	if math.IsInf(best, 1) {
		return false
	}
	w.fit = found
	w.fit.residuals(w.s[:w.n], w.x[:w.n], w.r[:w.n])
	return true
}

// choose picks len(into) different numbers below n, ascending, for the given try:
// evenly spread by multiples of the square roots of primes, alike in every window.
func choose(into []int, n, try int) {
	for i := range into {
		u := float64(try+1) * steps[i]
		k := int((u - math.Floor(u)) * float64(n-i))
		at := 0
		for at < i && into[at] <= k {
			k++
			at++
		}
		copy(into[at+1:i+1], into[at:i])
		into[at] = k
	}
}

var steps = [maxTerms]float64{math.Sqrt2, 1.7320508075688772, 2.23606797749979, 2.6457513110645906, 3.3166247903554, 3.605551275463989}

// keepNearest leaves out all but the given number of points with the smallest
// residuals.
func (w *window) keepNearest(count int) {
	limit := w.quantile(count)
	w.kept = 0
	for i, r := range w.r[:w.n] {
		w.out[i] = math.Abs(r) > limit
		if !w.out[i] {
			w.kept++
		}
	}
}

// readmit leaves out the points farther from the fit than allowed, which for a point
// not in the fit is widened by the fit's own uncertainty there. It reports whether
// anything changed.
func (w *window) readmit(allowed float64) bool {
	changed := false
	w.kept = 0
	for i, r := range w.r[:w.n] {
		limit := allowed
		if w.out[i] {
			leverage, _, _ := w.fit.gains(w.s[i])
			limit *= math.Sqrt(1 + leverage)
		}
		if out := math.Abs(r) > limit; out != w.out[i] {
			w.out[i] = out
			changed = true
		}
		if !w.out[i] {
			w.kept++
		}
	}
	return changed
}

// quantile returns the count-th smallest absolute residual, by quickselect.
func (w *window) quantile(count int) float64 {
	a := w.spare[:w.n]
	for i, r := range w.r[:w.n] {
		a[i] = math.Abs(r)
	}
	k := count - 1
	low, high := 0, len(a)-1
	for low < high {
		pivot := a[(low+high)/2]
		i, j := low, high
		for i <= j {
			for a[i] < pivot {
				i++
			}
			for a[j] > pivot {
				j--
			}
			if i <= j {
				a[i], a[j] = a[j], a[i]
				i++
				j--
			}
		}
		switch {
		case k <= j:
			high = j
		case k >= i:
			low = i
		default:
			return a[k]
		}
	}
	return a[k]
}
