package calib

import (
	"math"

	"joulewell/calib/air"
	"joulewell/energy"
)

// SpeedOfSound returns the speed of sound [m/s] in air of t [Cel] and, where it is known,
// relative humidity [1] ([energy.None] where it is not), by Cramer's equation; see
// [air.State.Sound]. Beyond that equation's range, 0 to 40 Cel, it is 343.2
// sqrt(T/293.15) of ISO 9613-1 with half a percent added for humidity.
func SpeedOfSound(t, humidity energy.Estimate) energy.Estimate {
	if c, err := (air.State{Temperature: t, Humidity: humidity}).Sound(); err == nil {
		return c
	}
	const celsius, reference, c0, wet = 273.15, 293.15, 343.2, 0.005
	c := c0 * math.Sqrt((t.Value+celsius)/reference)
	slope := c / (2 * (t.Value + celsius))
	return energy.Estimate{Value: c, U: math.Hypot(slope*t.U, wet*c)}
}

// Humidity returns what a thermometer's report of relative humidity [%] is worth [1]:
// small sensors are good to 3 % (common practice, no source).
func Humidity(percent float64) energy.Estimate {
	if !(percent >= 0 && percent <= 100) {
		return energy.None()
	}
	return energy.Estimate{Value: max(percent, 0.01) / 100, U: 0.03}
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
