package motion

import "math"

// maxTerms is the number of coefficients of the highest polynomial, degree 5.
const maxTerms = 6

// polynomial is a least-squares polynomial c0 + c1 s + c2 s^2 + ... in scaled time.
type polynomial struct {
	terms  int
	coef   [maxTerms]float64
	factor [maxTerms][maxTerms]float64 // lower Cholesky factor of the normal matrix; its diagonal holds the reciprocals
}

// moments are the sums the normal equations are made of.
type moments struct {
	s  [2*maxTerms - 1]float64 // of the powers of s
	xs [maxTerms]float64       // of x times the powers of s
}

// fitTo finds the coefficients of so many terms from the points (s, x), by normal
// equations and Cholesky factorisation. With |s| <= 1 four terms lose about three
// of sixteen digits that way, six terms about five. It reports false when the
// points do not determine the polynomial.
func (p *polynomial) fitTo(s, x []float64, terms int) bool {
	var m moments
	if terms <= 4 {
		m.addCubic(s, x)
	} else {
		m.add(s, x)
	}
	return p.fitMoments(&m, terms)
}

// fitMoments finds the coefficients from sums made beforehand.
func (p *polynomial) fitMoments(m *moments, terms int) bool {
	p.terms = terms
	if !p.factorise(&m.s) {
		return false
	}
	p.coef = p.solve(&m.xs)
	return true
}

// addCubic sums what four terms need. It stands apart from add because nearly all
// of an answer's time is spent here.
func (m *moments) addCubic(s, x []float64) {
	var s1, s2, s3, s4, s5, s6, x0, x1, x2, x3 float64
	x = x[:len(s)]
	for i, u := range s {
		y := x[i]
		u2 := u * u
		u3 := u2 * u
		s1 += u
		s2 += u2
		s3 += u3
		s4 += u2 * u2
		s5 += u2 * u3
		s6 += u3 * u3
		x0 += y
		x1 += y * u
		x2 += y * u2
		x3 += y * u3
	}
	m.s = [...]float64{float64(len(s)), s1, s2, s3, s4, s5, s6, 0, 0, 0, 0}
	m.xs = [...]float64{x0, x1, x2, x3, 0, 0}
}

// add sums what six terms need.
func (m *moments) add(s, x []float64) {
	for i, u := range s {
		y := x[i]
		u2 := u * u
		u3 := u2 * u
		u4 := u2 * u2
		u5 := u2 * u3
		for k, power := range [...]float64{1, u, u2, u3, u4, u5} {
			m.s[k] += power
			m.xs[k] += y * power
		}
		for k, power := range [...]float64{u, u2, u3, u4, u5} {
			m.s[k+6] += u5 * power
		}
	}
}

func (p *polynomial) factorise(m *[2*maxTerms - 1]float64) bool {
	for i := range p.terms {
		for j := range i + 1 {
			sum := m[i+j]
			for k := range j {
				sum -= p.factor[i][k] * p.factor[j][k]
			}
			if j < i {
				p.factor[i][j] = sum * p.factor[j][j]
				continue
			}
			// A pivot this small against its moment means that fewer different
			// instants than terms are there.
			if !(sum > 1e-13*m[2*i]) {
				return false
			}
			p.factor[i][i] = 1 / math.Sqrt(sum)
		}
	}
	return true
}

// solve returns the product of the inverse normal matrix and b.
func (p *polynomial) solve(b *[maxTerms]float64) [maxTerms]float64 {
	var y [maxTerms]float64
	copy(y[:p.terms], b[:])
	p.forward(&y)
	for i := p.terms - 1; i >= 0; i-- {
		for k := i + 1; k < p.terms; k++ {
			y[i] -= p.factor[k][i] * y[k]
		}
		y[i] *= p.factor[i][i]
	}
	return y
}

// at returns the polynomial's value at s.
func (p *polynomial) at(s float64) float64 {
	v := 0.0
	for i := p.terms - 1; i >= 0; i-- {
		v = v*s + p.coef[i]
	}
	return v
}

// slope returns the first derivative with respect to s.
func (p *polynomial) slope(s float64) float64 {
	v := 0.0
	for i := p.terms - 1; i >= 1; i-- {
		v = v*s + float64(i)*p.coef[i]
	}
	return v
}

// bend returns the second derivative with respect to s.
func (p *polynomial) bend(s float64) float64 {
	v := 0.0
	for i := p.terms - 1; i >= 2; i-- {
		v = v*s + float64(i*(i-1))*p.coef[i]
	}
	return v
}

// gains returns the variances of value and slope at s and their covariance, for
// points of variance 1: a'Na, d'Nd and a'Nd with N the inverse normal matrix, a the
// powers of s and d their derivatives.
func (p *polynomial) gains(s float64) (value, slope, both float64) {
	var a, d [maxTerms]float64
	power := 1.0
	for i := range p.terms {
		a[i] = power
		if i+1 < p.terms {
			d[i+1] = float64(i+1) * power
		}
		power *= s
	}
	p.forward(&a)
	p.forward(&d)
	for i := range p.terms {
		value += a[i] * a[i]
		slope += d[i] * d[i]
		both += a[i] * d[i]
	}
	return value, slope, both
}

// slopeGain returns the variance of the slope at s, for points of variance 1.
func (p *polynomial) slopeGain(s float64) float64 {
	var d [maxTerms]float64
	power := 1.0
	for i := 1; i < p.terms; i++ {
		d[i] = float64(i) * power
		power *= s
	}
	return p.gain(&d)
}

// slopeRow returns the row of the inverse normal matrix that belongs to the slope at 0: the
// slope's variance, for points of variance 1, is its second entry, and a point at s enters
// the slope with the weight of the polynomial at s that has these coefficients.
func (p *polynomial) slopeRow() [maxTerms]float64 {
	return p.solve(&[maxTerms]float64{1: 1})
}

// bendGain returns the variance of the second derivative at s, for points of
// variance 1.
func (p *polynomial) bendGain(s float64) float64 {
	var b [maxTerms]float64
	power := 1.0
	for i := 2; i < p.terms; i++ {
		b[i] = float64(i*(i-1)) * power
		power *= s
	}
	return p.gain(&b)
}

// gain returns y'Ny with N the inverse normal matrix, and spoils y.
func (p *polynomial) gain(y *[maxTerms]float64) float64 {
	p.forward(y)
	sum := 0.0
	for _, v := range y {
		sum += v * v
	}
	return sum
}

// forward replaces y by the solution z of Lz = y, L the Cholesky factor.
func (p *polynomial) forward(y *[maxTerms]float64) {
	for i := range p.terms {
		for k := range i {
			y[i] -= p.factor[i][k] * y[k]
		}
		y[i] *= p.factor[i][i]
	}
}

// residuals writes x - p(s) to r and returns the sum of their squares and the
// largest square.
func (p *polynomial) residuals(s, x, r []float64) (sum, largest float64) {
	x, r = x[:len(s)], r[:len(s)]
	c0, c1, c2, c3, c4, c5 := p.coef[0], p.coef[1], p.coef[2], p.coef[3], p.coef[4], p.coef[5]
	if c4 == 0 && c5 == 0 {
		for i, u := range s {
			d := x[i] - (((c3*u+c2)*u+c1)*u + c0)
			r[i] = d
			d *= d
			sum += d
			if d > largest {
				largest = d
			}
		}
		return sum, largest
	}
	for i, u := range s {
		d := x[i] - (((((c5*u+c4)*u+c3)*u+c2)*u+c1)*u + c0)
		r[i] = d
		d *= d
		sum += d
		if d > largest {
			largest = d
		}
	}
	return sum, largest
}
