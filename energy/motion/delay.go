package motion

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"joulewell/energy"
)

// ErrFeeble is wrapped by the refusal of a motion too small, or a record too short, to
// tell a delay by.
var ErrFeeble = errors.New("too little motion to tell a delay by")

// Series is one channel: values at instants [ns] that rise.
type Series struct {
	Times  []int64   // [ns]
	Values []float64 // [any]
}

// Delay is by how much the force lags behind the positions, and what came with it.
type Delay struct {
	Lag     energy.Estimate // [s] positive where the force is older than its stamp
	Mass    energy.Estimate // [kg] slope of force over acceleration: what swings
	Windows int             // [1] stretches of the record that agree
}

const (
	leastWindows = 24    // eight that do not overlap: three numbers are fitted
	mostWindows  = 400   // more tell a delay no better than the two clocks agree
	longestLag   = 0.150 // [s] of a converter at 40 readings a second that settles in four
	feeble       = 10    // standard uncertainties by which the slope must differ from zero
)

// FindDelay tells by how much the force lags behind the positions, from Newton's second
// law alone: F(t + lag) = rest + mass * a(t), with a the upward acceleration of heights
// [m] and F the tension [N]. Neither spring law nor sinusoid enters.
//
// Accelerations are not formed, for that would magnify noise. Both sides are multiplied
// by a window p that vanishes with its slope at both ends, and integrated; two
// integrations by parts turn the integral of a p into that of the heights times the
// second derivative of p. Being symmetrical, the window delays neither side. half [s]
// is half its width, best about half a period. Rest, mass and lag follow by least
// squares over all windows; windows off by more than 5 robust standard deviations are
// left out, and the uncertainty is that of the residuals, neighbours' likeness counted.
//
// A friction on the bob that grows with its speed, and any other force in step with the
// velocity, looks like a delay: of 2 g/w^2 for a swing of angular frequency w that
// decays at the rate g. The caller must hold this beside the result, and must not use
// the result to measure such a friction.
//
// It refuses half <= 0, and with [ErrFeeble] a record of fewer than 24 whole windows, a third of half a window apart,
// or one in which force does not follow acceleration.
func FindDelay(heights, force Series, half float64) (Delay, error) {
	if !(half > 0 && half <= 10) {
		return Delay{}, fmt.Errorf("find delay: half width = %g s: must lie above 0 and not above 10 s", half)
	}
	w := newWeigher(heights, force, half)
	if len(w.bends) < leastWindows {
		return Delay{}, fmt.Errorf("find delay: %w: %d stretches of %g s without a silence in either channel: at least %d needed",
			ErrFeeble, len(w.bends), 2*half, leastWindows)
	}
	lag := w.scan(min(longestLag, half/2))
	var fit lagFit
	for range 4 { // the windows kept settle within two rounds
		for range 8 {
			if !w.solve(lag, &fit) {
				return Delay{}, fmt.Errorf("find delay: %w: the bob does not accelerate", ErrFeeble)
			}
			lag += fit.step
			if math.Abs(fit.step) < 1e-7 {
				break
			}
		}
		if !w.leaveOut(fit.residuals) {
			break
		}
	}
	u := fit.uncertainties()
	switch {
	case !(fit.mass > feeble*u[1]):
		return Delay{}, fmt.Errorf("find delay: %w: force follows acceleration by %.2g kg with a standard uncertainty of %.2g kg: at least %d times it needed",
			ErrFeeble, fit.mass, u[1], feeble)
	case math.Abs(lag) > longestLag || math.Abs(lag) > half/2:
		return Delay{}, fmt.Errorf("find delay: force fits best %.0f ms late: must lie within a quarter period and %.0f ms",
			1e3*lag, 1e3*longestLag)
	}
	return Delay{
		Lag:     energy.Estimate{Value: lag, U: u[2]},
		Mass:    energy.Estimate{Value: fit.mass, U: u[1]},
		Windows: len(fit.residuals),
	}, nil
}

// weigher holds the windows and what the heights say in each.
type weigher struct {
	force   Series
	half    float64 // [s]
	middles []int64 // [ns] of the windows kept
	bends   []float64
}

func newWeigher(heights, force Series, half float64) *weigher {
	w := &weigher{force: force, half: half}
	n := min(len(heights.Times), len(force.Times))
	if n < leastWindows {
		return w
	}
	reach := nanoseconds(half)
	margin := reach + nanoseconds(min(longestLag, half/2))
	first := max(heights.Times[0], force.Times[0]) + margin
	last := min(heights.Times[len(heights.Times)-1], force.Times[len(force.Times)-1]) - margin
	step := max(reach/3, (last-first)/mostWindows)
	gaps := [...]int64{3 * usualInterval(heights.Times), 3 * usualInterval(force.Times)}
	for n := int64(0); first+(n+1)*step <= last; n++ {
		// Windows in step with the motion would always see the same phase of it.
		dither := float64(n) * math.Phi
		t := first + n*step + int64((dither-math.Floor(dither))*float64(step))
		i, j := between(heights.Times, t-reach, t+reach)
		k, l := between(force.Times, t-margin, t+margin)
		if !dense(heights.Times[i:j], t-reach, t+reach, gaps[0]) || !dense(force.Times[k:l], t-margin, t+margin, gaps[1]) {
			continue
		}
		w.middles = append(w.middles, t)
		w.bends = append(w.bends, bend(heights.Times[i:j], heights.Values[i:j], t, half))
	}
	return w
}

func usualInterval(times []int64) int64 {
	steps := make([]int64, 0, 1001)
	for i := 1; i < len(times); i += max(1, len(times)/1000) {
		steps = append(steps, times[i]-times[i-1])
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// between returns the range of the points from one instant to another.
func between(times []int64, from, to int64) (int, int) {
	return upTo(times, from-1), upTo(times, to)
}

// dense reports whether no silence between two instants is longer than the gap.
func dense(times []int64, from, to, gap int64) bool {
	for _, t := range times {
		if t-from > gap {
			return false
		}
		from = t
	}
	return to-from <= gap
}

// bend returns the acceleration as the window sees it: the integral of the heights
// times the second derivative of p, over that of p, with p = (1 - s^2)^5, by trapezia: the
// flat ends of p make these right to 0.1 % at 25 points in a window.
func bend(times []int64, heights []float64, t int64, half float64) float64 {
	var sum float64
	base := heights[len(heights)/2]
	for i := range times {
		s := float64(times[i]-t) * 1e-9 / half
		q := 1 - s*s
		sum += (heights[i] - base) * q * q * q * (90*s*s - 10) * stretchAt(times, i)
	}
	const area = 512.0 / 693 // of (1 - s^2)^5 from -1 to 1
	return sum / (half * half * half * area)
}

// stretchAt is the time [s] that point i stands for in a sum by trapezia.
func stretchAt(times []int64, i int) float64 {
	return float64(times[min(i+1, len(times)-1)]-times[max(i-1, 0)]) * 0.5e-9
}

// pull returns the mean force in the window around t, shifted by the lag [s], and its
// derivative by the lag.
func (w *weigher) pull(t int64, lag float64) (mean, slope float64) {
	t += nanoseconds(lag)
	i, j := between(w.force.Times, t-nanoseconds(w.half), t+nanoseconds(w.half))
	times, values := w.force.Times[i:j], w.force.Values[i:j]
	var area, areaSlope float64
	for i := range times {
		s := float64(times[i]-t) * 1e-9 / w.half
		q, dt := 1-s*s, stretchAt(times, i)
		p, dp := q*q*q*q*q*dt, 10*s*q*q*q*q/w.half*dt
		mean, slope = mean+p*values[i], slope+dp*values[i]
		area, areaSlope = area+p, areaSlope+dp
	}
	mean /= area
	return mean, (slope - mean*areaSlope) / area
}

// scan returns the lag of a coarse grid at which forces and accelerations agree best,
// the force growing with the acceleration.
func (w *weigher) scan(most float64) float64 {
	best, at := math.Inf(-1), 0.0
	for k := -20; k <= 20; k++ {
		lag := most * float64(k) / 20
		var sf, sa, sff, saa, sfa float64
		for i, a := range w.bends {
			f, _ := w.pull(w.middles[i], lag)
			sf, sa, sff, saa, sfa = sf+f, sa+a, sff+f*f, saa+a*a, sfa+f*a
		}
		n := float64(len(w.bends))
		r := (sfa - sf*sa/n) / math.Sqrt((sff-sf*sf/n)*(saa-sa*sa/n))
		if r > best {
			best, at = r, lag
		}
	}
	return at
}

// lagFit is one step of Gauss and Newton.
type lagFit struct {
	mass, step float64
	residuals  []float64
	rows       [][3]float64
	inverse    mat.Dense
}

// solve fits rest, mass and a step of the lag at the present one.
func (w *weigher) solve(lag float64, fit *lagFit) bool {
	n := len(w.bends)
	fit.rows, fit.residuals = make([][3]float64, n), make([]float64, n)
	normal, right := mat.NewDense(3, 3, nil), mat.NewVecDense(3, nil)
	for i, a := range w.bends {
		f, slope := w.pull(w.middles[i], lag)
		row := [3]float64{1, a, -slope}
		fit.rows[i], fit.residuals[i] = row, f
		for j := range row {
			right.SetVec(j, right.AtVec(j)+row[j]*f)
			for k := range row {
				normal.Set(j, k, normal.At(j, k)+row[j]*row[k])
			}
		}
	}
	fit.inverse.Reset()
	if fit.inverse.Inverse(normal) != nil {
		return false
	}
	var x mat.VecDense
	x.MulVec(&fit.inverse, right)
	fit.mass, fit.step = x.AtVec(1), x.AtVec(2)
	for i, row := range fit.rows {
		fit.residuals[i] -= row[0]*x.AtVec(0) + row[1]*x.AtVec(1) + row[2]*x.AtVec(2)
	}
	return !math.IsNaN(fit.step)
}

// leaveOut drops the windows that a false distance has spoilt and reports whether there
// were any.
func (w *weigher) leaveOut(residuals []float64) bool {
	sizes := make([]float64, len(residuals))
	for i, r := range residuals {
		sizes[i] = math.Abs(r)
	}
	slices.Sort(sizes)
	limit := 5 * 1.4826 * sizes[len(sizes)/2]
	kept := 0
	for i, r := range residuals {
		if math.Abs(r) <= limit {
			w.middles[kept], w.bends[kept] = w.middles[i], w.bends[i]
			kept++
		}
	}
	if kept == len(residuals) || kept < leastWindows {
		return false
	}
	w.middles, w.bends = w.middles[:kept], w.bends[:kept]
	return true
}

// related is how many windows after one still overlap with it.
const related = 6

// uncertainties of rest, mass and lag, from the residuals, with those of windows that
// overlap taken as related, with weights that fall in a straight line (Newey and West, A simple,
// positive semi-definite, heteroskedasticity and autocorrelation consistent covariance
// matrix, Econometrica 55 (1987) 703; from memory).
func (fit *lagFit) uncertainties() [3]float64 {
	n := len(fit.rows)
	middle := mat.NewDense(3, 3, nil)
	for i := range n {
		for j := max(0, i-related); j <= min(n-1, i+related); j++ {
			weight := fit.residuals[i] * fit.residuals[j] * (1 - math.Abs(float64(i-j))/(related+1))
			for k := range 3 {
				for l := range 3 {
					middle.Set(k, l, middle.At(k, l)+weight*fit.rows[i][k]*fit.rows[j][l])
				}
			}
		}
	}
	var covariance mat.Dense
	covariance.Product(&fit.inverse, middle, &fit.inverse)
	var u [3]float64
	for k := range u {
		u[k] = math.Sqrt(max(0, covariance.At(k, k)) * float64(n) / float64(n-3))
	}
	return u
}
