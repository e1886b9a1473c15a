package loss

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// descend runs a damped Gauss-Newton descent (Levenberg's and Marquardt's) from a
// start, with the model's parameters kept from going negative. It returns nil where
// the sum of squares is not finite at the start.
func (p *problem) descend(start []float64) *solution {
	n, k := len(p.y), p.size()
	s := &solution{p: start, jacobian: mat.NewDense(n, k, nil), unit: p.unit, own: p.own()}
	residual := make([]float64, n)
	s.chi = p.deviations(s.p, residual)
	if math.IsNaN(s.chi) || math.IsInf(s.chi, 0) {
		return nil
	}
	damping := 1e-3
	trial, left := make([]float64, k), make([]float64, n)
	for range 200 {
		p.slopes(s.p, s.jacobian)
		normal, gradient := normalEquations(s.jacobian, residual)
		gain := 0.0
		for damping < 1e12 {
			step, ok := p.step(normal, gradient, s.p, damping)
			if !ok {
				damping *= 10
				continue
			}
			for i := range trial {
				trial[i] = s.p[i] + step[i]
				if i >= p.own() {
					trial[i] = max(0, trial[i])
				}
			}
			chi := p.deviations(trial, left)
			if chi <= s.chi {
				gain = s.chi - chi
				s.chi = chi
				copy(s.p, trial)
				copy(residual, left)
				damping = max(damping/10, 1e-12)
				break
			}
			damping *= 10
		}
		if gain <= 1e-9*(1+1e-3*s.chi) { // a millionth of what any verdict rests on
			break
		}
	}
	p.slopes(s.p, s.jacobian)
	return s
}

// deviations fills in (measured - predicted)/u and returns the sum of squares.
func (p *problem) deviations(s, to []float64) float64 {
	p.predict(s, to)
	var chi float64
	for i, y := range p.y {
		to[i] = (y - to[i]) / p.u[i]
		chi += to[i] * to[i]
	}
	return chi
}

// slopes fills in the derivatives of the predictions by the fitted numbers, each over
// the uncertainty: by central differences, one-sided where a parameter lies at zero.
func (p *problem) slopes(s []float64, to *mat.Dense) {
	n := len(p.y)
	point := append([]float64(nil), s...)
	var at [3][]float64
	for i := range at {
		at[i] = make([]float64, n)
	}
	for j := range s {
		h := 1e-5
		if j >= p.own() {
			h /= 1 + p.span // the effect of a parameter grows with every half swing
		}
		if j < p.own() || s[j] > h {
			point[j] = s[j] + h
			p.predict(point, at[0])
			point[j] = s[j] - h
			p.predict(point, at[1])
			for i := range n {
				to.Set(i, j, (at[0][i]-at[1][i])/(2*h)/p.u[i])
			}
		} else {
			for i := range at {
				point[j] = s[j] + float64(i)*h
				p.predict(point, at[i])
			}
			for i := range n {
				to.Set(i, j, (4*at[1][i]-3*at[0][i]-at[2][i])/(2*h)/p.u[i])
			}
		}
		point[j] = s[j]
	}
}

func normalEquations(jacobian *mat.Dense, residual []float64) (*mat.SymDense, []float64) {
	n, k := jacobian.Dims()
	normal, gradient := mat.NewSymDense(k, nil), make([]float64, k)
	rows := jacobian.RawMatrix()
	for i := range n {
		row := rows.Data[i*rows.Stride : i*rows.Stride+k]
		for a, x := range row {
			gradient[a] += x * residual[i]
			for b := a; b < k; b++ {
				normal.SetSym(a, b, normal.At(a, b)+x*row[b])
			}
		}
	}
	return normal, gradient
}

// step solves for the next step; a parameter at zero that would go below stays there.
func (p *problem) step(normal *mat.SymDense, gradient, at []float64, damping float64) ([]float64, bool) {
	k := len(gradient)
	damped := mat.NewSymDense(k, nil)
	damped.CopySym(normal)
	right := append([]float64(nil), gradient...)
	for i := range k {
		damped.SetSym(i, i, normal.At(i, i)*(1+damping)+1e-300)
		if i >= p.own() && at[i] == 0 && gradient[i] <= 0 {
			for j := range k {
				damped.SetSym(i, j, 0)
			}
			damped.SetSym(i, i, 1)
			right[i] = 0
		}
	}
	var factor mat.Cholesky
	var step mat.VecDense
	if !factor.Factorize(damped) || factor.SolveVecTo(&step, mat.NewVecDense(k, right)) != nil {
		return nil, false
	}
	return step.RawVector().Data, true
}

// close works out the covariance; false where the numbers cannot be told apart. A
// parameter that lies at zero is let go alone: where nothing is lost, all parts work
// alike and could not be told apart together.
func (s *solution) close(p *problem) bool {
	k := p.size()
	normal, _ := normalEquations(s.jacobian, make([]float64, len(p.y)))
	var inside, zero []int
	for i := range k {
		if i >= p.own() && s.p[i] == 0 {
			zero = append(zero, i)
		} else {
			inside = append(inside, i)
		}
	}
	s.covariance = mat.NewSymDense(k, nil)
	if !invert(normal, inside, s.covariance) {
		return false
	}
	for _, i := range zero {
		alone := mat.NewSymDense(k, nil)
		if !invert(normal, append(inside[:len(inside):len(inside)], i), alone) {
			return false
		}
		s.covariance.SetSym(i, i, alone.At(i, i))
		if len(zero) == 1 {
			s.covariance.CopySym(alone)
		}
	}
	return true
}

// invert puts the inverse of the rows and columns of a matrix that are listed into the
// same places of another.
func invert(of *mat.SymDense, rows []int, to *mat.SymDense) bool {
	part := mat.NewSymDense(len(rows), nil)
	for a, i := range rows {
		for b := a; b < len(rows); b++ {
			part.SetSym(a, b, of.At(i, rows[b]))
		}
	}
	var factor mat.Cholesky
	if !factor.Factorize(part) || factor.Cond() > 1e15 {
		return false
	}
	var inverse mat.SymDense
	if factor.InverseTo(&inverse) != nil {
		return false
	}
	for a, i := range rows {
		for b := a; b < len(rows); b++ {
			to.SetSym(i, rows[b], inverse.At(a, b))
		}
	}
	return true
}
