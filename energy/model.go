package energy

import "math"

// State is what the sensors say of the bob at one instant.
type State struct {
	Height   Estimate // [m] of the bob's lowest point above the floor
	Velocity Estimate // [m/s] of the bob, positive upward
	Bias     float64  // [m2/s2] by which the noise of the velocity raises the mean of its square
}

// inputs of the model, in the order of the sensitivities.
const (
	inHeight = iota
	inVelocity
	inBobMass
	inSpringMass
	inRate
	inTension
	inGravity
	inSupport
	inBobLength
	inNatural
	inputCount
)

type vector [inputCount]float64

// Model computes energies for one apparatus. It is immutable and may be shared.
type Model struct {
	apparatus Apparatus
	reference float64
	value     vector // of the inputs; height and velocity are filled in per state
	variance  vector
	spring    hung
	open      float64 // [m] extension from which all coils are open

	// Rate and initial tension come from one fit and share its doubt.
	follows float64 // [m] change of the tension that goes with a change of the rate
	alone   float64 // [1] part of the tension's uncertainty that does not
}

// NewModel returns the model of a, with gravitational energy counted from reference
// [m above the floor]. It returns the refusal of [Apparatus.Check].
func NewModel(a Apparatus, reference float64) (*Model, error) {
	if err := a.Check(); err != nil {
		return nil, err
	}
	m := &Model{apparatus: a, reference: reference}
	for i, e := range [inputCount]Estimate{
		inBobMass: a.Bob.Mass, inSpringMass: a.Spring.Mass, inRate: a.Spring.Rate,
		inTension: a.Spring.InitialTension, inGravity: a.Gravity, inSupport: a.Support,
		inBobLength: a.Bob.Length, inNatural: a.Spring.NaturalLength,
	} {
		m.value[i], m.variance[i] = e.Value, e.U*e.U
	}
	r := a.Spring.RateTension
	m.alone = math.Sqrt(1 - r*r)
	if u := a.Spring.Rate.U; u > 0 {
		m.follows = r * a.Spring.InitialTension.U / u
	}
	m.spring = a.Spring.at(a.Gravity.Value)
	m.open = m.spring.openAt()
	return m, nil
}

// Apparatus returns the apparatus that m was made for.
func (m *Model) Apparatus() Apparatus { return m.apparatus }

// springOf is the model's spring with the inputs v.
func (m *Model) springOf(v *vector) hung {
	return hung{weight: v[inSpringMass] * v[inGravity], rate: v[inRate], tension: v[inTension], bend: m.spring.bend}
}

func (v *vector) extension() float64 {
	return v[inSupport] - v[inHeight] - v[inBobLength] - v[inNatural]
}

// elastic and gravitational are the formulas themselves, for any inputs.
func (m *Model) elastic(v *vector) float64 { return m.springOf(v).elastic(v.extension()) }

func (m *Model) gravitational(v *vector) float64 {
	weight := v[inSpringMass] * v[inGravity]
	middle := (v[inSupport] + v[inHeight] + v[inBobLength]) / 2 // H - L/2
	return v[inBobMass]*v[inGravity]*(v[inHeight]-m.reference) +
		weight*(middle-m.springOf(v).sag(v.extension())-m.reference)
}

// Potential returns elastic plus gravitational energy [J] of bob and spring with the
// bob's lowest point at height [m]: the well in which the bob moves.
func (m *Model) Potential(height float64) float64 {
	v := m.value
	v[inHeight] = height
	return m.elastic(&v) + m.gravitational(&v)
}

// At returns the energies of one state:
//
//	kinetic        (M + m_s/3)(v^2 - bias)/2
//	elastic        F0 X + k X^2/2, and the integral of a departure from the straight law
//	gravitational  M g (h - z) + m_s g (H - L/2 - z)
//
// with X = H - h - l_b - L0 and L = H - h - l_b, and the integral over the coils in
// place of the last two while some coils are still closed. The mean of the square of
// a noisy velocity is too large by the variance of its noise, which is why it is taken
// off: a single kinetic energy may therefore come out slightly below zero.
//
// Uncertainties are propagated to first order (JCGM 100, 5.1.2) with every input
// shared by the four energies counted once in the total. An absent height or
// velocity makes what depends on it absent.
func (m *Model) At(s State) Energies {
	v, variance := m.value, m.variance
	v[inHeight], v[inVelocity] = s.Height.Value, s.Velocity.Value
	variance[inHeight], variance[inVelocity] = s.Height.U*s.Height.U, s.Velocity.U*s.Velocity.U

	var kinetic, elastic, gravitational, total vector // sensitivities
	moving := v[inBobMass] + v[inSpringMass]/3
	square := v[inVelocity] * v[inVelocity]
	kinetic[inVelocity] = moving * v[inVelocity]
	kinetic[inBobMass] = square / 2
	kinetic[inSpringMass] = square / 6

	x := v.extension()
	if x >= m.open {
		m.slopesOpen(&v, x, &elastic, &gravitational)
	} else {
		m.slopesByDifferences(&v, &elastic, &gravitational)
	}
	m.decorrelate(&elastic)
	m.decorrelate(&gravitational)
	for i := range total {
		total[i] = kinetic[i] + elastic[i] + gravitational[i]
	}

	var e Energies
	e.Kinetic.Value = moving * (square - s.Bias) / 2
	e.Elastic.Value = m.spring.elastic(x)
	e.Gravitational.Value = m.gravitational(&v)
	e.Total.Value = e.Kinetic.Value + e.Elastic.Value + e.Gravitational.Value

	noise := moving * variance[inVelocity] // the square's own scatter: var(v^2) = 4 v^2 u^2 + 2 u^4
	e.Kinetic.U = math.Sqrt(kinetic.propagate(&variance) + noise*noise/2)
	e.Elastic.U = math.Sqrt(elastic.propagate(&variance))
	e.Gravitational.U = math.Sqrt(gravitational.propagate(&variance))
	e.Total.U = math.Sqrt(total.propagate(&variance) + noise*noise/2)
	return e
}

// decorrelate turns sensitivities to rate and tension into those to two inputs that have
// nothing in common: the rate, which the tension follows, and the rest of the tension.
func (m *Model) decorrelate(c *vector) {
	c[inRate] += m.follows * c[inTension]
	c[inTension] *= m.alone
}

func (c *vector) propagate(variance *vector) float64 {
	var sum float64
	for i, s := range c {
		sum += s * s * variance[i]
	}
	return sum
}

// slopesOpen fills in the partial derivatives while every coil is open.
func (m *Model) slopesOpen(v *vector, x float64, elastic, gravitational *vector) {
	bent, _ := m.spring.bend.at(x)
	force := v[inTension] + v[inRate]*x + bent
	elastic[inSupport], elastic[inHeight], elastic[inBobLength], elastic[inNatural] = force, -force, -force, -force
	elastic[inTension] = x
	elastic[inRate] = x * x / 2

	middle := (v[inSupport]+v[inHeight]+v[inBobLength])/2 - m.reference
	half := m.spring.weight / 2
	gravitational[inHeight] = v[inBobMass]*v[inGravity] + half
	gravitational[inSupport], gravitational[inBobLength] = half, half
	gravitational[inBobMass] = v[inGravity] * (v[inHeight] - m.reference)
	gravitational[inSpringMass] = v[inGravity] * middle
	gravitational[inGravity] = v[inBobMass]*(v[inHeight]-m.reference) + v[inSpringMass]*middle
}

// slopesByDifferences does the same for a partly open spring, a short moment at the
// start of a drop, where the closed forms would be long and seldom used.
func (m *Model) slopesByDifferences(v *vector, elastic, gravitational *vector) {
	for i := range v {
		if i == inVelocity || v[i] == 0 {
			continue
		}
		step := 1e-6 * math.Abs(v[i])
		up, down := *v, *v
		up[i] += step
		down[i] -= step
		elastic[i] = (m.elastic(&up) - m.elastic(&down)) / (2 * step)
		gravitational[i] = (m.gravitational(&up) - m.gravitational(&down)) / (2 * step)
	}
}
