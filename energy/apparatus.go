package energy

import (
	"errors"
	"fmt"
	"math"
)

// ErrImpossible is wrapped by every refusal of an apparatus that cannot exist.
var ErrImpossible = errors.New("impossible apparatus")

// Spring is a helical extension spring, hung by its top end.
type Spring struct {
	Mass           Estimate `json:"mass_kg"`           // [kg] of the whole spring, hooks included
	NaturalLength  Estimate `json:"natural_length_m"`  // [m] lying unloaded on the table
	Rate           Estimate `json:"rate_N_per_m"`      // [N/m] force per extension once the coils are open
	InitialTension Estimate `json:"initial_tension_N"` // [N] force at which a close-wound spring begins to open
	SafeExtension  float64  `json:"safe_extension_m"`  // [m] past which the spring may be spoiled; 0 = not stated

	RateTension float64 `json:"rate_tension_correlation"` // [1] correlation coefficient of the estimates of Rate and InitialTension

	Departure *Departure `json:"departure,omitempty"` // of its force from the straight law; nil = none
}

// Bob is everything that hangs below the spring: holder, slotted masses, tape.
type Bob struct {
	Mass   Estimate `json:"mass_kg"`  // [kg]
	Length Estimate `json:"length_m"` // [m] from the spring's lower end to the bob's lowest point
}

// Apparatus is one spring and bob on one support, at one place.
type Apparatus struct {
	Spring  Spring   `json:"spring"`
	Bob     Bob      `json:"bob"`
	Support Estimate `json:"support_height_m"` // [m] of the point that holds the spring's top, above the floor
	Gravity Estimate `json:"gravity_m_s2"`     // [m/s2] local acceleration of free fall
}

// Geometry of the moment; positive downward from the natural length.

// Extension returns the spring's extension [m] when the bob's lowest point is at
// height [m] above the floor: X = H - h - l_b - L0.
func (a *Apparatus) Extension(height float64) float64 {
	return a.Support.Value - height - a.Bob.Length.Value - a.Spring.NaturalLength.Value
}

// ExtensionOf is [Apparatus.Extension] with its uncertainty, the lengths' included.
func (a *Apparatus) ExtensionOf(height Estimate) Estimate {
	return Estimate{
		Value: a.Extension(height.Value),
		U: math.Sqrt(height.U*height.U + a.Support.U*a.Support.U +
			a.Bob.Length.U*a.Bob.Length.U + a.Spring.NaturalLength.U*a.Spring.NaturalLength.U),
	}
}

// Height is the inverse of [Apparatus.Extension].
func (a *Apparatus) Height(extension float64) float64 {
	return a.Support.Value - extension - a.Bob.Length.Value - a.Spring.NaturalLength.Value
}

// Check returns nil for an apparatus that can exist, or an error wrapping
// [ErrImpossible] that names the first quantity at fault and what would pass.
func (a *Apparatus) Check() error {
	quantities := []struct {
		name  string
		e     Estimate
		unit  string
		zero  bool    // zero is allowed
		limit float64 // beyond which the unit must have been mistaken
	}{
		{"bob mass", a.Bob.Mass, "kg", false, 1000},
		{"bob length", a.Bob.Length, "m", true, 100},
		{"spring mass", a.Spring.Mass, "kg", true, 1000},
		{"spring natural length", a.Spring.NaturalLength, "m", true, 100},
		{"spring rate", a.Spring.Rate, "N/m", false, 1e6},
		{"spring initial tension", a.Spring.InitialTension, "N", true, 1e4},
		{"support height", a.Support, "m", false, 100},
	}
	for _, q := range quantities {
		switch {
		case math.IsNaN(q.e.Value) || math.IsInf(q.e.Value, 0):
			return fmt.Errorf("%w: %s is not a number", ErrImpossible, q.name)
		case q.e.Value < 0 || (q.e.Value == 0 && !q.zero):
			return fmt.Errorf("%w: %s = %g %s: must be positive", ErrImpossible, q.name, q.e.Value, q.unit)
		case q.e.Value > q.limit:
			return fmt.Errorf("%w: %s = %g %s: more than %g %s, is the unit right?", ErrImpossible, q.name, q.e.Value, q.unit, q.limit, q.unit)
		case math.IsNaN(q.e.U) || math.IsInf(q.e.U, 0) || q.e.U < 0:
			return fmt.Errorf("%w: uncertainty of %s = %g %s: must be zero or positive", ErrImpossible, q.name, q.e.U, q.unit)
		}
	}
	if g := a.Gravity.Value; !(g > 9.7 && g < 9.9) {
		return fmt.Errorf("%w: gravity = %g m/s2: on the ground it lies between 9.76 and 9.84", ErrImpossible, g)
	}
	if !(a.Gravity.U >= 0) || math.IsInf(a.Gravity.U, 0) {
		return fmt.Errorf("%w: uncertainty of gravity = %g m/s2: must be zero or positive", ErrImpossible, a.Gravity.U)
	}
	if r := a.Spring.RateTension; !(r >= -1 && r <= 1) {
		return fmt.Errorf("%w: correlation of spring rate and initial tension = %g: must lie between -1 and 1", ErrImpossible, r)
	}
	if err := a.Spring.checkDeparture(a.Gravity.Value); err != nil {
		return err
	}
	if hung := a.Spring.NaturalLength.Value + a.Bob.Length.Value; hung >= a.Support.Value {
		return fmt.Errorf("%w: spring and bob together are %g m long, the support is only %g m above the floor",
			ErrImpossible, hung, a.Support.Value)
	}
	return nil
}
