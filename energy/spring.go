package energy

import "math"

// hung is a spring in place: the numbers that its static shape depends on.
type hung struct {
	weight  float64 // [N] m_s g
	rate    float64 // [N/m]
	tension float64 // [N] initial tension F0
	bend    *bend   // departure from the straight law; nil = none
}

// openAt is the extension [m] from which every coil is open: the end force then
// reaches the initial tension, and the spring's own weight alone has opened it by
// weight/(2 rate).
func (s hung) openAt() float64 { return s.weight / (2 * s.rate) }

// elastic returns the elastic energy [J] at an extension [m] for a stretch spread as
// in slow stretching, less the constant weight^2/(24 rate) that an open spring holds
// because its own weight spreads the stretch unevenly:
//
//	F0 X + k X^2/2                                   all coils open
//	F0 X + (2 k w X)^(3/2)/(6 k w) - w^2/(24 k)      only the upper coils open
//
// and in either case the integral of the departure from the straight law. Own
// derivation, integrating tension over the coils; the two agree at openAt.
func (s hung) elastic(x float64) float64 {
	_, bent := s.bend.at(x)
	if x >= s.openAt() {
		return x*(s.tension+s.rate*x/2) + bent
	}
	return s.tension*max(x, 0) + s.partly(x) - s.weight*s.weight/(24*s.rate) + bent
}

// pull is the force [N] on what hangs below at an extension [m] at rest; negative where
// the spring would have to be held up to be so short.
func (s hung) pull(x float64) float64 {
	bent, _ := s.bend.at(x)
	if x >= s.openAt() {
		return s.tension + s.rate*x - s.weight/2 + bent
	}
	return s.tension + math.Sqrt(2*s.rate*s.weight*max(x, 0)) - s.weight + bent
}

// stretch is the inverse of pull: the extension [m] at rest under a load [N], 0 when it
// opens no coil. A bent law is inverted by halving.
func (s hung) stretch(load float64) float64 {
	if s.bend != nil {
		return s.stretchBent(load)
	}
	switch {
	case load >= s.tension:
		return (load + s.weight/2 - s.tension) / s.rate
	case load+s.weight > s.tension:
		spare := load + s.weight - s.tension
		return spare * spare / (2 * s.rate * s.weight)
	}
	return 0
}

func (s hung) stretchBent(load float64) float64 {
	low, high := 0.0, 1.0
	for s.pull(high) < load && high < 1e6 {
		high *= 2
	}
	for range 100 {
		if middle := (low + high) / 2; s.pull(middle) < load {
			low = middle
		} else {
			high = middle
		}
	}
	return low
}

// sag returns how much lower [m] the spring's centre of mass lies than the half of
// its extension below its place in the closed spring, less the constant
// weight/(12 rate) of an open spring. It is zero once every coil is open.
func (s hung) sag(x float64) float64 {
	if x >= s.openAt() || s.weight == 0 {
		return 0
	}
	return max(x, 0)/2 - s.partly(x)/s.weight - s.weight/(12*s.rate)
}

// partly is q^3/(6 k w), where q = sqrt(2 k w X) is by how much the tension at the
// top exceeds the initial tension while only the upper coils are open. A closed
// spring (X <= 0) is taken as rigid.
func (s hung) partly(x float64) float64 {
	if x <= 0 {
		return 0
	}
	q := math.Sqrt(2 * s.rate * s.weight * x)
	return q * q * q / (6 * s.rate * s.weight)
}

// at returns s as it hangs where gravity is so strong [m/s2].
func (s *Spring) at(gravity float64) hung {
	return hung{
		weight: s.Mass.Value * gravity, rate: s.Rate.Value, tension: s.InitialTension.Value,
		bend: newBend(s.Departure),
	}
}

// SelfExtension returns the extension [m] of a spring that hangs by itself with
// nothing on it: w/(2k) without initial tension, (w-F0)^2/(2kw) while only the upper
// coils carry more than the initial tension, and 0 when none does. Gravity in m/s2.
func (s *Spring) SelfExtension(gravity float64) float64 { return s.at(gravity).stretch(0) }

// Equilibrium returns the extension [m] at which the bob hangs at rest:
// ((M + m_s/2) g - F0)/k once every coil is open, and the static shape of the partly
// open spring below that; 0 when the load does not open it. A departure from the
// straight law is followed.
func (a *Apparatus) Equilibrium() float64 {
	return a.Spring.at(a.Gravity.Value).stretch(a.Bob.Mass.Value * a.Gravity.Value)
}
