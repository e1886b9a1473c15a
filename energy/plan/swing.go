package plan

import (
	"fmt"
	"math"

	"joulewell/energy"
	"joulewell/energy/quantity"
)

// swing is the first half cycle after the release, without waves in the coils.
type swing struct {
	apparatus energy.Apparatus
	start     float64 // [m] extension at the release
	rest      float64 // [m] extension at which the bob hangs at rest
	amplitude float64 // [m] about rest, that the energy at the start is good for
	gained    float64 // [J] potential energy at the start above that at rest
}

// swing works out the swing for values x of the inputs. While every coil is open the
// potential energy is a parabola about rest, so amplitude = sqrt(2 gained/rate), and
// what the start has above rest holds for a partly closed spring as well.
func (p *drop) swing(x []float64) (swing, error) {
	a := quantity.Apparatus(x)
	natural := a.Spring.NaturalLength.Value + a.Bob.Length.Value
	if x[quantity.AtSupport] == 0 {
		a.Support.Value = natural + 1 // any support will do, extension is all that counts
	}
	m, err := energy.NewModel(a, 0)
	if err != nil {
		return swing{}, err
	}
	if load, tension := a.Bob.Mass.Value*a.Gravity.Value, a.Spring.InitialTension.Value; load <= tension {
		return swing{}, fmt.Errorf("%w: the bob pulls with %.3g N, less than the spring's initial tension %.3g N: its coils stay closed, take a heavier bob",
			energy.ErrImpossible, load, tension)
	}
	s := swing{apparatus: a, start: max(x[atRelease], 0) * x[quantity.AtRule], rest: a.Equilibrium()}
	if !p.Release.Given() {
		s.start = a.Spring.SelfExtension(a.Gravity.Value)
	}
	if s.start >= s.rest {
		return swing{}, fmt.Errorf("%w: released at an extension of %.4g m, below where the bob hangs at rest (%.4g m): it would rise; let it go from higher up",
			energy.ErrImpossible, s.start, s.rest)
	}
	s.gained = m.Potential(a.Height(s.start)) - m.Potential(a.Height(s.rest))
	s.amplitude = math.Sqrt(2 * s.gained / a.Spring.Rate.Value)
	return s, nil
}

// Places of the results of the formula.
const (
	ofSupport = iota
	ofFall
	ofExtension
	ofPeriod
	ofSpeed
	ofForce
	ofStart
	ofClearance // at the present support
	ofMove
	ofTrialMove
	ofTrialOff
	ofTrialRatio
	resultCount
)

// formula computes all results [SI]. Heights come out as the rule reads them.
func (p *drop) formula(x []float64) ([]float64, error) {
	s, err := p.swing(x)
	if err != nil {
		return nil, err
	}
	a, spring := &s.apparatus, &s.apparatus.Spring
	lowest := s.rest + x[atRatio]*s.amplitude - x[atTurnWaves]
	hangs := spring.NaturalLength.Value + a.Bob.Length.Value
	rule := x[quantity.AtRule]
	weight := spring.Mass.Value * a.Gravity.Value
	inertia := a.Bob.Mass.Value + EffectiveFraction(spring.Mass.Value/a.Bob.Mass.Value)*spring.Mass.Value
	y := make([]float64, resultCount)
	y[ofSupport] = (hangs+lowest)/rule + p.Clearance
	y[ofFall] = (lowest - s.start) / rule
	y[ofExtension] = lowest
	y[ofPeriod] = 2 * math.Pi * math.Sqrt(inertia/spring.Rate.Value)
	y[ofSpeed] = math.Sqrt(2 * max(0, s.gained+x[atWayWaves]) / (a.Bob.Mass.Value + spring.Mass.Value/3))
	y[ofForce] = spring.InitialTension.Value + spring.Rate.Value*lowest + weight/2 + x[atRipple]
	y[ofStart] = y[ofSupport] - (hangs+s.start)/rule
	y[ofClearance] = x[quantity.AtSupport] - (hangs+lowest)/rule
	y[ofMove] = y[ofSupport] - x[quantity.AtSupport]
	y[ofTrialMove] = p.Clearance - x[atTrial]
	y[ofTrialOff] = x[atTrial] - y[ofClearance]
	y[ofTrialRatio] = ((x[quantity.AtSupport]-x[atTrial])*rule - hangs + x[atTurnWaves] - s.rest) / s.amplitude
	return y, nil
}
