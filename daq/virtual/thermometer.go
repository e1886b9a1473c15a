package virtual

import (
	"math"
	"math/rand/v2"
)

// thermometer reports the temperature of the air in hundredths of a degree.
type thermometer struct {
	Thermometer
	air Air
	rng *rand.Rand
}

func newThermometer(c *Config) *thermometer {
	return &thermometer{c.Thermometer, c.Air, stream(c.Seed, "thermometer")}
}

// report returns the indication [0.01 Cel] at the instant at [ns].
func (t *thermometer) report(at int64) float64 {
	return math.Round(100 * (t.air.temperature(at) + t.Offset + t.Noise*t.rng.NormFloat64()))
}
