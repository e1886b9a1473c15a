package calib

import (
	"math"

	"joulewell/energy"
)

// SpeedOfSound returns the speed of sound [m/s] in air of t [Cel] and its standard
// uncertainty: c = 343.2 sqrt((t + 273.15)/293.15), ISO 9613-1. Humidity is not in
// it: between dry and saturated air c differs by 0.37 % at 20 Cel, so 0.1 % is added
// for not knowing it (rectangular, half width 0.19 %).
func SpeedOfSound(t energy.Estimate) energy.Estimate {
	const celsius, reference, c0, humidity = 273.15, 293.15, 343.2, 0.0011
	c := c0 * math.Sqrt((t.Value+celsius)/reference)
	slope := c / (2 * (t.Value + celsius))
	return energy.Estimate{Value: c, U: math.Hypot(slope*t.U, humidity*c)}
}

// EchoFlight returns the time [s] after its trigger at which the sound of an echo of
// echoUs [us] met the bob.
func EchoFlight(echoUs float64) float64 { return echoUs * 1e-6 / 2 }

// Echo returns the distance [m] that a round-trip time of echoUs [us] means with
// sound of speed [m/s]. Its U is what all echoes share: scale and speed of sound. The
// scatter of a single one is d.Noise.
func (d *Distance) Echo(echoUs float64, speed energy.Estimate) energy.Estimate {
	raw := speed.Value * EchoFlight(echoUs)
	return energy.Estimate{
		Value: d.Scale.Value * raw,
		U:     raw * math.Hypot(d.Scale.U, d.Scale.Value*speed.U/speed.Value),
	}
}

// Range does the same for a sensor that states a distance of rangeMm [mm].
func (d *Distance) Range(rangeMm float64) energy.Estimate {
	return energy.Estimate{Value: d.Scale.Value * rangeMm * 1e-3, U: d.Scale.U * rangeMm * 1e-3}
}

// InRange reports whether a distance [m] is one that the sensor can see.
func (d *Distance) InRange(distance float64) bool {
	return distance >= d.Min && (d.Max == 0 || distance <= d.Max)
}

// Height returns the height [m] of the bob's lowest point for a distance [m].
func (d *Distance) Height(distance float64) float64 {
	if d.Mounting == Support {
		return d.Offset.Value - distance
	}
	return d.Offset.Value + distance
}

// Common returns the standard uncertainty [m] that all heights at a distance [m] share:
// that of the sensor's place and scale, and of the speed of sound, whose relative
// standard uncertainty is sound [1], 0 for a sensor that states distances.
func (d *Distance) Common(distance, sound float64) float64 {
	scale := (distance - d.Pivot) * d.Scale.U / d.Scale.Value
	air := distance * sound
	return math.Sqrt(d.Offset.U*d.Offset.U + scale*scale + air*air)
}
