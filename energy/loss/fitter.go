package loss

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"joulewell/energy"
)

// terms of the polynomial that stands for the path around a turn: degree 4 leaves
// 1e-5 of the amplitude unexplained within an eighth of a period on either side.
const terms = 5

// fitter fits the path around a turning point; it keeps its memory between turns.
type fitter struct {
	normal mat.SymDense
	factor mat.Cholesky
	c      mat.VecDense // coefficients of 1, s, s^2 ... with s = (t - centre)/width
}

// turn returns the turning point at a crossing. ok is false where too few samples lie
// around it or their path does not turn there.
func (f *fitter) turn(samples []Sample, c crossing, half float64) (Turning, bool) {
	centre := c.at
	for range 4 {
		from, to := window(samples, c, centre, half)
		if to-from < 3 {
			return Turning{}, false
		}
		width := max(samples[to-1].T-centre, centre-samples[from].T)
		if !(width > 0) || !f.fit(samples[from:to], centre, width) {
			return Turning{}, false
		}
		s, ok := f.extreme(c.side)
		if !ok {
			return Turning{}, false
		}
		at := centre + s*width
		if !(samples[from].T <= at && at <= samples[to-1].T) {
			return Turning{}, false
		}
		if math.Abs(s) > 0.25 { // the window is lopsided: once more about the better centre
			centre = at
			continue
		}
		return f.result(samples[from:to], c.side, centre, width, s)
	}
	return Turning{}, false
}

// window returns the samples [from, to) within an eighth of a period of centre, or,
// where they are fewer than four, the nearest four within a quarter; it ends at a gap.
func window(samples []Sample, c crossing, centre, half float64) (from, to int) {
	from = (c.last + c.next) / 2
	for from < c.next && samples[from].T < centre {
		from++
	}
	for from > c.last && samples[from].T > centre {
		from--
	}
	to = from + 1
	for {
		left, right := math.Inf(1), math.Inf(1) // distance of the next sample on either side
		if from > 0 && !broken(samples, from) {
			left = centre - samples[from-1].T
		}
		if to < len(samples) && !broken(samples, to) {
			right = samples[to].T - centre
		}
		reach := half / 4
		if to-from < 4 {
			reach = half / 2
		}
		switch {
		case left <= right && left <= reach:
			from--
		case right < left && right <= reach:
			to++
		default:
			return from, to
		}
	}
}

// fit solves the weighted least squares for extensions and velocities together.
func (f *fitter) fit(samples []Sample, centre, width float64) bool {
	var n [terms][terms]float64
	var b [terms]float64
	for i := range samples {
		s := &samples[i]
		x, v := rows((s.T-centre)/width, width)
		wx, wv := 1/(s.Extension.U*s.Extension.U), 1/(s.Velocity.U*s.Velocity.U)
		for j := range terms {
			ax, av := wx*x[j], wv*v[j]
			b[j] += ax*s.Extension.Value + av*s.Velocity.Value
			for k := j; k < terms; k++ {
				n[j][k] += ax*x[k] + av*v[k]
			}
		}
	}
	if f.normal.IsEmpty() {
		f.normal.ReuseAsSym(terms)
	}
	for j := range terms {
		for k := j; k < terms; k++ {
			f.normal.SetSym(j, k, n[j][k])
		}
	}
	if !f.factor.Factorize(&f.normal) || f.factor.Cond() > 1e14 {
		return false
	}
	return f.factor.SolveVecTo(&f.c, mat.NewVecDense(terms, b[:])) == nil
}

// rows returns the derivatives of extension and velocity by the coefficients.
func rows(s, width float64) (x, v [terms]float64) {
	power := 1.0
	for j := range terms {
		x[j] = power
		if j+1 < terms {
			v[j+1] = float64(j+1) * power / width
		}
		power *= s
	}
	return x, v
}

// extreme returns where the fitted path turns, in widths from the centre.
func (f *fitter) extreme(side Side) (s float64, ok bool) {
	c := f.c.RawVector().Data
	for range 20 {
		slope, bend := f.slopes(s)
		if !(bend*float64(side) < 0) {
			return 0, false
		}
		step := slope / bend
		s -= step
		if math.Abs(s) > 1 {
			return 0, false
		}
		if math.Abs(step) < 1e-12 {
			return s, !math.IsNaN(c[0])
		}
	}
	return 0, false
}

// slopes returns first and second derivative of the path by s.
func (f *fitter) slopes(s float64) (slope, bend float64) {
	c := f.c.RawVector().Data
	return c[1] + s*(2*c[2]+s*(3*c[3]+s*4*c[4])), 2*c[2] + s*(6*c[3]+s*12*c[4])
}

// result puts the turn through the sample nearest to it: the polynomial gives the
// shape of the path, that one sample where the path lies. The polynomial's own
// constant would average over samples whose deviations are related in a way that
// nobody has told; so nothing is gained by averaging that a smoother has not gained
// already, and nothing need be known of it. To first order
//
//	x = x_i + v_i d,  u^2(x) = u^2(x_i) + 2 cov d + u^2(v_i) d^2,  u(t) = u(v_i)/|a|
//
// with d the time from the sample to the turn and a the acceleration there.
func (f *fitter) result(samples []Sample, side Side, centre, width, s float64) (Turning, bool) {
	i := 0
	for i+1 < len(samples) && samples[i+1].T-centre <= s*width {
		i++
	}
	if i+1 < len(samples) && samples[i+1].T-centre-s*width < s*width-(samples[i].T-centre) {
		i++
	}
	at := &samples[i]
	c := f.c.RawVector().Data
	own := (at.T - centre) / width
	slope, _ := f.slopes(own)
	c[0] += at.Extension.Value - f.path(own)
	c[1] += at.Velocity.Value*width - slope // tilts the path about own
	c[0] -= (at.Velocity.Value*width - slope) * own
	s, ok := f.extreme(side)
	if !ok {
		return Turning{}, false
	}
	_, bend := f.slopes(s)
	d := (s - own) * width
	ux, uv := at.Extension.U, at.Velocity.U
	return Turning{
		T:         energy.Estimate{Value: centre + s*width, U: uv * width * width / math.Abs(bend)},
		Extension: energy.Estimate{Value: f.path(s), U: math.Sqrt(max(0, ux*ux+d*(2*at.Covariance+d*uv*uv)))},
		Side:      side,
	}, true
}

// path returns the fitted extension [m].
func (f *fitter) path(s float64) float64 {
	c := f.c.RawVector().Data
	return c[0] + s*(c[1]+s*(c[2]+s*(c[3]+s*c[4])))
}
