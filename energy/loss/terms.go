package loss

import (
	"cmp"
	"math"
	"slices"

	"joulewell/energy"
)

// term is an energy with what each independent input adds to its uncertainty, signed,
// so that terms that share inputs add and cancel as they should.
type term struct {
	value float64   // [J]
	u     []float64 // [J] one per turning point of the record, then one per shared input, then one per turning point for its ripple
}

func (t term) estimate() energy.Estimate {
	var sum float64
	for _, u := range t.u {
		sum += u * u
	}
	return energy.Estimate{Value: t.value, U: math.Sqrt(sum)}
}

func (t term) minus(o term) term { return t.plus(o, -1) }

// plus returns t + by o.
func (t term) plus(o term, by float64) term {
	sum := term{t.value + by*o.value, slices.Clone(t.u)}
	for i, u := range o.u {
		sum.u[i] += by * u
	}
	return sum
}

// shared inputs, by place after the turning points.
const (
	ofRate = iota
	ofBobMass
	ofSpringMass
	ofGravity
	ofTension
	ofOffset
	ofScale
	ofLoopNoise
	ofLoopShared
	ofLoopWaves
	ofDrag
	ofCoilsBefore
	ofCoilsAfter
	sharedInputs
)

// Names of the inputs that belong to bench, spring and bob, in a budget.
const (
	InputRate       = "spring rate"
	InputBobMass    = "bob mass"
	InputSpringMass = "spring mass"
	InputGravity    = "local gravity"
	InputTension    = "initial tension"
	InputOffset     = "offset of the extension"
	InputScale      = "scale of the extension"
)

var sharedNames = [sharedInputs]string{
	InputRate, InputBobMass, InputSpringMass, InputGravity, InputTension, InputOffset, InputScale,
	"noise of the loops", "delay and scale of the loops", "waves felt at the support",
	"air drag", "coil waves at the start", "coil waves at the end",
}

// budget lists what adds to the uncertainty of a term, largest first; the turning
// points count as one input.
func (b *books) budget(t term) []Contribution {
	var places float64
	for _, u := range t.u[:b.n] {
		places += u * u
	}
	list := []Contribution{{Input: scatterName, U: math.Sqrt(places)}}
	for i, u := range t.u[b.n : b.n+sharedInputs] {
		if u != 0 {
			list = append(list, Contribution{sharedNames[i], math.Abs(u), u})
		}
	}
	slices.SortStableFunc(list, func(a, b Contribution) int { return cmp.Compare(b.U, a.U) })
	return list
}
