package air

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy"
)

// State is the air of a room.
type State struct {
	Temperature   energy.Estimate `json:"temperature_C"` // [Cel]
	Pressure      energy.Estimate `json:"pressure_Pa"`   // [Pa] of the place, not reduced to sea level
	Humidity      energy.Estimate `json:"humidity"`      // [1] relative
	CarbonDioxide energy.Estimate `json:"co2"`           // [1] mole fraction
}

// What stands for a quantity that nobody has read: the middle between bounds that
// nearly all lecture rooms keep, near sea level for the pressure (common practice, no
// source).
var (
	anyPressure      = between(94e3, 105e3)
	anyHumidity      = between(0, 1)
	anyCarbonDioxide = between(400e-6, 2000e-6)
)

func between(low, high float64) energy.Estimate {
	return energy.Estimate{Value: (low + high) / 2, U: fit.Rectangular((high - low) / 2)}
}

// At is the state of which no more than the temperature [Cel] is known.
func At(temperature energy.Estimate) State { return State{Temperature: temperature} }

// inputs returns temperature, pressure, humidity and carbon dioxide, each known or its
// stand-in.
func (s State) inputs() ([4]energy.Estimate, error) {
	in := [4]energy.Estimate{s.Temperature, s.Pressure, s.Humidity, s.CarbonDioxide}
	for i, standIn := range [...]energy.Estimate{1: anyPressure, anyHumidity, anyCarbonDioxide} {
		if i > 0 && (!in[i].Known() || in[i] == energy.Estimate{}) {
			in[i] = standIn
		}
	}
	for i, q := range [...]struct {
		name, unit string
		low, high  float64
	}{
		{"air temperature", "Cel", 0, 40},
		{"air pressure", "Pa", 60e3, 110e3},
		{"relative humidity", "", 0, 1},
		{"mole fraction of carbon dioxide", "", 0, 0.01},
	} {
		if v := in[i].Value; !(v >= q.low && v <= q.high) {
			return in, fmt.Errorf("%w: %s = %g %s: must lie between %g and %g", refusal(v), q.name, v, q.unit, q.low, q.high)
		}
		if !doubt.Uncertain(in[i].U) {
			return in, fmt.Errorf("%w: uncertainty of %s = %g: must be zero or positive", doubt.ErrNumber, q.name, in[i].U)
		}
	}
	return in, nil
}

func refusal(v float64) error {
	if doubt.Finite(v) {
		return doubt.ErrUnit
	}
	return doubt.ErrNumber
}

// formula is one of the four inputs.
type formula func(x [4]float64) float64

// propagate returns a formula of the inputs with its uncertainty, the formula's own
// relative one included: the law of propagation with slopes over one standard uncertainty
// to either side (GUM 5.1.3, note 2). It allocates nothing, for sound is worked out anew
// with every report of a thermometer.
func (s State) propagate(f formula, own float64) (energy.Estimate, error) {
	in, err := s.inputs()
	if err != nil {
		return energy.None(), err
	}
	var x [4]float64
	for i, e := range in {
		x[i] = e.Value
	}
	value := f(x)
	variance := math.Pow(own*value, 2)
	for i, e := range in {
		up, down := x, x
		up[i] += e.U
		down[i] -= e.U
		variance += math.Pow((f(up)-f(down))/2, 2)
	}
	return energy.Estimate{Value: value, U: math.Sqrt(variance)}, nil
}

// vapour returns the mole fraction [1] of water vapour in air of t [Cel], p [Pa] and
// relative humidity h, by saturation pressure and enhancement factor of CIPM-2007.
func vapour(t, p, h float64) float64 {
	kelvin := t + 273.15
	saturation := math.Exp(1.2378847e-5*kelvin*kelvin - 1.9121316e-2*kelvin + 33.93711047 - 6.3431645e3/kelvin)
	enhancement := 1.00062 + 3.14e-8*p + 5.6e-7*t*t
	return h * enhancement * saturation / p
}
