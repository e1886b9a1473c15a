package quantity

import (
	"errors"
	"fmt"
	"math"

	"joulewell/energy"
)

// StandardGravity stands in where nobody has said anything about the place: 9.80665
// m/s2 (third CGPM, 1901), a convention, between bounds that cover the ground at sea
// level from the equator (9.780) to the poles (9.832).
func StandardGravity() Quantity {
	const halfWidth = 0.0268
	return Quantity{energy.Estimate{Value: 9.80665, U: halfWidth / math.Sqrt(3)}, Acceleration, Convention, math.Inf(1)}
}

// Gravity returns the acceleration of free fall [m/s2] at a geodetic latitude [rad] and
// a height [m] above the sea: normal gravity of the Geodetic Reference System 1980
// (Moritz), by Somigliana's formula and the expansion to second order in the height.
// The truth differs by the gravity anomaly of the place: a standard uncertainty of 5e-5
// of the value is added for it to those of latitude and height. Latitudes beyond the
// poles and heights outside -500 m to 9000 m are refused.
func Gravity(latitude, altitude Quantity) (Quantity, error) {
	switch {
	case !(math.Abs(latitude.Value) <= math.Pi/2):
		return Quantity{}, fmt.Errorf("latitude %g deg: must lie between -90 and 90 deg", latitude.Value/degree)
	case !(altitude.Value >= -500 && altitude.Value <= 9000):
		return Quantity{}, fmt.Errorf("altitude %g m: must lie between -500 and 9000 m", altitude.Value)
	case !(latitude.U >= 0 && altitude.U >= 0) || math.IsInf(latitude.U+altitude.U, 0):
		return Quantity{}, errors.New("uncertainty of latitude or altitude: must be zero or positive")
	}
	const anomaly = 5e-5
	g := normalGravity(latitude.Value, altitude.Value)
	step := max(latitude.U, 1e-6)
	byLatitude := (normalGravity(latitude.Value+step, altitude.Value) - normalGravity(latitude.Value-step, altitude.Value)) / (2 * step)
	const byHeight = -3.086e-6 // [1/s2], the free-air gradient
	u := math.Sqrt(math.Pow(anomaly*g, 2) + math.Pow(byLatitude*latitude.U, 2) + math.Pow(byHeight*altitude.U, 2))
	return Quantity{energy.Estimate{Value: g, U: u}, Acceleration, Place, math.Inf(1)}, nil
}

// normalGravity is g_e (1 + k sin2 L)/sqrt(1 - e2 sin2 L) on the ellipsoid, times
// 1 - (2/a)(1 + f + m - 2 f sin2 L) h + 3 h2/a2 above it.
func normalGravity(latitude, height float64) float64 {
	const (
		a  = 6378137           // [m] semi-major axis
		f  = 1 / 298.257222101 // [1] flattening
		e2 = 0.00669438002290  // [1] first eccentricity squared
		ge = 9.7803267715      // [m/s2] at the equator
		k  = 0.001931851353    // [1]
		m  = 0.00344978600308  // [1] centrifugal over gravity at the equator
	)
	sine2 := math.Pow(math.Sin(latitude), 2)
	surface := ge * (1 + k*sine2) / math.Sqrt(1-e2*sine2)
	return surface * (1 - 2/float64(a)*(1+f+m-2*f*sine2)*height + 3*height*height/(a*a))
}
