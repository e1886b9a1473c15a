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
	leastWindows = 24    // four that do not overlap: three numbers are fitted
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
		return Delay{}, fmt.Errorf("find delay: %w: %d stretches of %.3g s without a silence in either channel: at least %d needed",
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
// matrix, Econometrica 55 (1987) 703; from memory). Three numbers are fitted to what only
// windows that do not overlap tell independently: of few, residuals are too small.
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
	apart := float64(n) / related // above 3, see leastWindows
	var u [3]float64
	for k := range u {
		u[k] = math.Sqrt(max(0, covariance.At(k, k)) * apart / (apart - 3))
	}
	return u
}
