package air

import (
	"math"

	"joulewell/energy"
)

// Sound returns the speed of sound [m/s] by Cramer's equation, good to 3 parts in 10 000
// (his statement, taken as bounds; from memory). It is that of low frequencies; at 40 kHz
// the slow vibration of the molecules raises it by less than these bounds.
//
// Without humidity the uncertainty is about 0.1 %: between dry and saturated air of 20
// Cel lie 0.37 %.
func (s State) Sound() (energy.Estimate, error) {
	return s.propagate(func(x [4]float64) float64 { return cramer(x[0], x[1], x[2], x[3]) }, 3e-4/math.Sqrt(3))
}

// Speed returns the speed of sound [m/s] of a state taken as exact, by the same equation.
// Only its values count, and what is left out has its stand-in.
func (s State) Speed() (float64, error) {
	in, err := s.inputs()
	if err != nil {
		return math.NaN(), err
	}
	return cramer(in[0].Value, in[1].Value, in[2].Value, in[3].Value), nil
}

// cramer is the equation in t [Cel], p [Pa], relative humidity and the mole fraction c
// of carbon dioxide.
func cramer(t, p, humidity, c float64) float64 {
	w := vapour(t, p, humidity)
	return 331.5024 + 0.603055*t - 0.000528*t*t +
		(51.471935+0.1495874*t-0.000782*t*t)*w +
		(-1.82e-7+3.73e-8*t-2.93e-10*t*t)*p +
		(-85.20931-0.228525*t+5.91e-5*t*t)*c -
		2.835149*w*w - 2.15e-13*p*p + 29.179762*c*c + 0.000486*w*p*c
}
