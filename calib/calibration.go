package calib

import (
	"errors"
	"fmt"
	"math"
	"time"

	"joulewell/energy"
)

// ErrInvalid is wrapped by every refusal of a calibration that cannot be.
var ErrInvalid = errors.New("invalid calibration")

// Mounting says from where a distance sensor looks at the bob.
type Mounting string

// The mountings.
const (
	Floor   Mounting = "floor"   // on the floor, looking up at the bob's lowest point
	Support Mounting = "support" // at the support, looking down at the top of the bob
)

// Distance turns the ranging sensor's indications into metres, and metres into the
// height of the bob's lowest point:
//
//	distance = Scale * c * echo / 2     or     Scale * range
//	height   = Offset + distance        (Floor)
//	height   = Offset - distance        (Support)
//
// with c the speed of sound in the air of the moment. Offset absorbs where the sensor
// sits and, looking down, the length of the bob.
type Distance struct {
	Date     time.Time       `json:"date"`
	Mounting Mounting        `json:"mounting"`
	Scale    energy.Estimate `json:"scale"`    // [1] near 1
	Offset   energy.Estimate `json:"offset_m"` // [m]
	Pivot    float64         `json:"pivot_m"`  // [m] distance at which Offset.U is the height's; the scale's doubt counts from there
	Noise    float64         `json:"noise_m"`  // [m] standard deviation of one distance
	Delay    energy.Estimate `json:"delay_s"`  // [s] by which the value is older than its time stamp, flight of the echo not included
	Min      float64         `json:"min_m"`    // [m] nearer than this the sensor cannot see
	Max      float64         `json:"max_m"`    // [m] farther than this it hears nothing
}

// Force turns the load cell's indications into newtons:
//
//	force = Span * net + Bend * net^2,    net = indication - Zero
//
// Zero is the indication with nothing but the cell's own fittings on it.
type Force struct {
	Date  time.Time       `json:"date"`
	Zero  energy.Estimate `json:"zero"`      // [counts], or [N] for a cell that states newtons
	Span  energy.Estimate `json:"span"`      // [N/count], or [1] for a cell that states newtons
	Bend  energy.Estimate `json:"bend"`      // [N/count2], or [1/N]; zero for a cell that is straight
	Noise float64         `json:"noise_N"`   // [N] standard deviation of one conversion
	Delay energy.Estimate `json:"delay_s"`   // [s] by which a conversion is older than its time stamp
	Max   float64         `json:"maximum_N"` // [N] capacity of the cell; 0 = not stated

	SpanBend float64 `json:"span_bend_correlation"` // [1] correlation coefficient of the estimates of Span and Bend
}

// Air is the air's state where no sensor reports it.
type Air struct {
	Temperature energy.Estimate `json:"temperature_C"` // [Cel]
}

// Calibration is all that a bench's sensors need.
type Calibration struct {
	Distance Distance `json:"distance"`
	Force    Force    `json:"force"`
	Air      Air      `json:"air"`
}

// Check returns nil, or an error wrapping [ErrInvalid] that names what is wrong.
func (c *Calibration) Check() error {
	if m := c.Distance.Mounting; m != Floor && m != Support {
		return fmt.Errorf("%w: distance mounting %q: must be %q or %q", ErrInvalid, m, Floor, Support)
	}
	if s := c.Distance.Scale.Value; !(s > 0.5 && s < 2) {
		return fmt.Errorf("%w: distance scale = %g: lies near 1", ErrInvalid, s)
	}
	if !(c.Distance.Noise > 0) {
		return fmt.Errorf("%w: noise of the distance = %g: no sensor is without, state what it is", ErrInvalid, c.Distance.Noise)
	}
	if p := c.Distance.Pivot; !(p >= 0) || math.IsInf(p, 0) {
		return fmt.Errorf("%w: pivot of the distance = %g m: must be zero or positive", ErrInvalid, p)
	}
	if s := c.Force.Span.Value; s == 0 || math.IsNaN(s) || math.IsInf(s, 0) {
		return fmt.Errorf("%w: force span = %g: must be a number other than zero", ErrInvalid, s)
	}
	if b, r := c.Force.Bend.Value, c.Force.SpanBend; math.IsNaN(b) || math.IsInf(b, 0) || !(r >= -1 && r <= 1) {
		return fmt.Errorf("%w: force bend = %g, its correlation with the span %g: must be a number, and lie between -1 and 1", ErrInvalid, b, r)
	}
	if t := c.Air.Temperature.Value; !(t > -40 && t < 60) {
		return fmt.Errorf("%w: air temperature = %g Cel: lies between -40 and 60", ErrInvalid, t)
	}
	for _, q := range []struct {
		name string
		u    float64
	}{
		{"uncertainty of the distance scale", c.Distance.Scale.U},
		{"uncertainty of the distance offset", c.Distance.Offset.U},
		{"noise of the distance", c.Distance.Noise},
		{"uncertainty of the distance delay", c.Distance.Delay.U},
		{"uncertainty of the force zero", c.Force.Zero.U},
		{"uncertainty of the force span", c.Force.Span.U},
		{"uncertainty of the force bend", c.Force.Bend.U},
		{"noise of the force", c.Force.Noise},
		{"uncertainty of the force delay", c.Force.Delay.U},
		{"uncertainty of the air temperature", c.Air.Temperature.U},
	} {
		if !(q.u >= 0) || math.IsInf(q.u, 0) {
			return fmt.Errorf("%w: %s = %g: must be zero or positive", ErrInvalid, q.name, q.u)
		}
	}
	return nil
}
