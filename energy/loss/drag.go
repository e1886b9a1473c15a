package loss

import (
	"fmt"
	"math"

	"joulewell/energy"
)

// Range is what is known of a quantity of which only bounds are known.
type Range struct {
	Low, High float64 // [any] bounds, Low <= High
}

// estimate reads a range as a rectangular distribution (JCGM 100, 4.3.7).
func (r Range) estimate() energy.Estimate {
	return energy.Estimate{Value: (r.Low + r.High) / 2, U: (r.High - r.Low) / math.Sqrt(12)}
}

// Drag coefficients [1] on the area that the bob shows in the direction of its motion.
// Lower bounds are those of steady flow: Aeronautical Engineer's Data Book, drag
// table, p. 95. A bob that swings through few of its own diameters meets its own wake,
// which can double the coefficient (from memory, of cylinders in oscillating flow);
// upper bounds allow for that.
var (
	sphere         = Range{0.45, 0.94} // below a Reynolds number of 2e5; 0.47 is common practice
	cylinderAlong  = Range{0.85, 1.98} // length over diameter 1 to 7: 0.85 to 0.99
	cylinderAcross = Range{0.63, 2.40} // length over diameter 1 to infinite: 0.63 to 1.20
)

// Sphere is the range of the drag coefficient [1] of a ball.
func Sphere() Range { return sphere }

// CylinderAlong is the range [1] for a cylinder that moves along its axis, such as
// slotted masses on a holder.
func CylinderAlong() Range { return cylinderAlong }

// CylinderAcross is the range [1] for a cylinder that moves across its axis.
func CylinderAcross() Range { return cylinderAcross }

// RoomAir is the range of the density of air [kg/m3] at 10 to 30 degrees Celsius and 95
// to 104 kPa, from the gas law with 287 J/(kg K).
func RoomAir() Range { return Range{1.09, 1.28} }

// Drag is what the air meets.
type Drag struct {
	Area        float64 // [m2] that the bob shows in the direction of its motion
	Coefficient Range   // [1] drag coefficient of the bob's shape, such as [Sphere]
	Air         Range   // [kg/m3] density, such as [RoomAir]
	Wire        float64 // [m2] the spring's wire length times its diameter; 0 leaves the coils out
}

// PerHalfSwing returns the bounds of the work [J] of air drag in a half swing of
// amplitude [m] and duration [s],
//
//	integral of rho C A |v|^3/2 dt = (2/3) rho C A omega^2 amplitude^3,
//
// with omega = pi/duration. The coils, which move the less the higher they hang, take
// a quarter of what their wire would at the bob's speed.
func (d Drag) PerHalfSwing(amplitude, duration float64) (Range, error) {
	if err := d.check(); err != nil {
		return Range{}, err
	}
	if !(amplitude >= 0 && duration > 0) || math.IsInf(amplitude, 0) || math.IsInf(duration, 0) {
		return Range{}, fmt.Errorf("bound air drag: amplitude %g m, duration %g s: must be positive", amplitude, duration)
	}
	omega := math.Pi / duration
	swept := 2.0 / 3 * omega * omega * amplitude * amplitude * amplitude
	return Range{
		Low:  d.Air.Low * (d.Coefficient.Low*d.Area + cylinderAcross.Low*d.Wire/4) * swept,
		High: d.Air.High * (d.Coefficient.High*d.Area + cylinderAcross.High*d.Wire/4) * swept,
	}, nil
}

func (d Drag) check() error {
	for _, q := range []struct {
		name string
		r    Range
	}{{"drag coefficient", d.Coefficient}, {"density of air", d.Air}, {"area of the bob", Range{d.Area, d.Area}}} {
		if !(q.r.Low > 0 && q.r.Low <= q.r.High) || math.IsInf(q.r.High, 0) {
			return fmt.Errorf("bound air drag: %s from %g to %g: must be positive, the lower bound first", q.name, q.r.Low, q.r.High)
		}
	}
	if !(d.Wire >= 0) || math.IsInf(d.Wire, 0) {
		return fmt.Errorf("bound air drag: wire %g m2: must be zero or positive", d.Wire)
	}
	return nil
}

// overRecord returns the bounds of the work of drag between two turning points.
func (d Drag) overRecord(record []Turning, from, to int, neutral float64) (Range, error) {
	var sum Range
	for i := from; i < to; i++ {
		a, b := &record[i], &record[i+1]
		halves := float64(b.Index - a.Index)
		amplitude := (math.Abs(a.Extension.Value-neutral) + math.Abs(b.Extension.Value-neutral)) / 2
		r, err := d.PerHalfSwing(amplitude, (b.T.Value-a.T.Value)/halves)
		if err != nil {
			return Range{}, err
		}
		sum.Low += halves * r.Low
		sum.High += halves * r.High
	}
	return sum, nil
}
