package virtual

import "math"

// coil is the force law of one coil. With initial tension, closed coils touch: a coil
// that carries less than the initial tension is as stiff as the contact, one that
// carries more follows tension + rate*x exactly. So its force is the smaller of two
// straight lines, continuous and with a potential, and no energy is lost in contact.
// Without initial tension the coils stand apart and the law is one straight line, in
// compression too.
type coil struct {
	rate    float64 // [N/m] open
	closed  float64 // [N/m] closed
	tension float64 // [N] initial tension
	knee    float64 // [m] extension at which it opens; minus infinity when coils never touch
}

func newCoil(s *Spring, coils int) coil {
	c := coil{rate: s.Rate * float64(coils), tension: s.InitialTension, knee: math.Inf(-1)}
	c.closed = c.rate
	if s.InitialTension > 0 {
		c.closed = c.rate * s.Contact
		c.knee = s.InitialTension / (c.closed - c.rate)
	}
	return c
}

// touching reports whether the coil can close at all.
func (c *coil) touching() bool { return c.tension > 0 }

// force returns the tension [N] at extension x [m].
func (c *coil) force(x float64) float64 {
	if x < c.knee {
		return c.closed * x
	}
	return c.tension + c.rate*x
}

// energy returns the elastic energy [J] at extension x [m], zero at x = 0.
func (c *coil) energy(x float64) float64 {
	switch {
	case x < c.knee:
		return c.closed * x * x / 2
	case c.touching():
		return c.tension*x + c.rate*x*x/2 - c.tension*c.knee/2
	}
	return c.rate * x * x / 2
}

// extension is the inverse of force; slope is its derivative [m/N].
func (c *coil) extension(force float64) (x, slope float64) {
	if c.touching() && force < c.closed*c.knee {
		return force / c.closed, 1 / c.closed
	}
	return (force - c.tension) / c.rate, 1 / c.rate
}
