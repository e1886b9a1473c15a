package quantity

import (
	"fmt"

	"joulewell/energy"
)

// Bench is what hangs where, as measured by hand. Lengths are read on one rule.
type Bench struct {
	BobMass        Quantity // [kg] everything that hangs below the spring
	BobLength      Quantity // [m] from the spring's lower end to the bob's lowest point
	SpringMass     Quantity // [kg] hooks included
	NaturalLength  Quantity // [m] spring lying unloaded on the table
	Rate           Quantity // [N/m]
	InitialTension Quantity // [N] of a close-wound spring; not given = none
	Gravity        Quantity // [m/s2]; not given = [StandardGravity]
	Support        Quantity // [m] of the point that holds the spring's top, above the floor
	Rule           Quantity // [1] true length over length read; not given = a perfect rule

	Departure *energy.Departure // of the spring's force from the straight law; nil = none
}

// Places of the readings of a bench in the inputs of a formula.
const (
	AtBobMass = iota
	AtBobLength
	AtSpringMass
	AtNaturalLength
	AtRate
	AtInitialTension
	AtGravity
	AtRule
	AtSupport
	BenchInputs
)

// Fill gives what was not given its stand-in.
func (b *Bench) Fill() {
	if !b.InitialTension.Given() {
		b.InitialTension = Chosen(Force, 0)
	}
	if !b.Gravity.Given() {
		b.Gravity = StandardGravity()
	}
	if !b.Rule.Given() {
		b.Rule = Chosen(Ratio, 1)
	}
}

// Assumptions says in a sentence each what stands in for readings of a filled bench.
func (b *Bench) Assumptions() []string {
	var list []string
	switch b.Gravity.How {
	case Convention:
		list = append(list, fmt.Sprintf("nobody said what gravity is here: %s stands in, with an uncertainty that covers the ground from the equator to the poles",
			Acceleration.Text(b.Gravity.Value, 0)))
	case Place:
		list = append(list, fmt.Sprintf("gravity by latitude and altitude is %s, u = %s",
			Acceleration.Text(b.Gravity.Value, b.Gravity.U), Acceleration.Text(b.Gravity.U, b.Gravity.U)))
	}
	if b.InitialTension.How == Exact {
		list = append(list, "the spring is taken to have no initial tension")
	}
	return list
}

// Inputs lists the readings for [Propagate], in the order of the constants above.
func (b *Bench) Inputs() []Input {
	return []Input{
		AtBobMass: {"bob mass", b.BobMass}, AtBobLength: {"bob length", b.BobLength},
		AtSpringMass: {"spring mass", b.SpringMass}, AtNaturalLength: {"natural length", b.NaturalLength},
		AtRate: {"spring rate", b.Rate}, AtInitialTension: {"initial tension", b.InitialTension},
		AtGravity: {"gravity", b.Gravity}, AtRule: {"rule", b.Rule}, AtSupport: {"support height", b.Support},
	}
}

// MissingError refuses to go on without a reading.
type MissingError struct{ Name string }

func (e MissingError) Error() string { return e.Name + " is missing: measure it and give it" }

// softest [N/m] is the rate of a spring that a gram stretches by ten metres.
const softest = 1e-3

// Check refuses a bench on which a reading is missing, exact, or cannot be. The
// support may be left out where it is asked for.
func (b *Bench) Check() error {
	inputs := b.Inputs()
	x := make([]float64, len(inputs))
	for i, in := range inputs {
		x[i] = in.Value
		switch {
		case !in.Given() && i == AtSupport:
			continue
		case !in.Given():
			return MissingError{in.Name}
		case in.U == 0 && !(in.How == Exact && (i == AtInitialTension || i == AtRule)):
			return fmt.Errorf("uncertainty of %s is zero: no reading is exact, state it or leave it to the last digit", in.Name)
		}
	}
	if r := b.Rule.Value; !(r > 0.9 && r < 1.1) {
		return fmt.Errorf("%w: rule scale = %g: lies near 1", energy.ErrImpossible, r)
	}
	if r := b.Rate.Value; r >= 0 && r < softest {
		return fmt.Errorf("%w: spring rate = %g N/m: less than %g N/m, is the unit right?", energy.ErrImpossible, r, softest)
	}
	a := Apparatus(x)
	a.Bob.Mass.U, a.Bob.Length.U = b.BobMass.U, b.BobLength.U
	a.Spring.Mass.U, a.Spring.NaturalLength.U = b.SpringMass.U, b.NaturalLength.U
	a.Spring.Rate.U, a.Spring.InitialTension.U = b.Rate.U, b.InitialTension.U
	a.Gravity.U, a.Support.U = b.Gravity.U, b.Support.U
	for _, i := range [...]int{AtBobMass, AtBobLength, AtSpringMass, AtNaturalLength, AtRate, AtInitialTension} {
		if in := inputs[i]; in.Value < 0 { // before Apparatus takes it for a small negative draw
			return fmt.Errorf("%w: %s = %g %s: must be positive", energy.ErrImpossible, in.Name, in.Value, in.Kind.Unit())
		}
	}
	a.Spring.Departure = b.Departure
	if !b.Support.Given() {
		a.Support.Value = a.Bob.Length.Value + a.Spring.NaturalLength.Value + 1
	}
	return a.Check()
}

// Apparatus returns the bench for values x of its inputs, with exact numbers. Lengths,
// masses and the tension below zero, which a draw of a small one can be, count as zero.
func Apparatus(x []float64) energy.Apparatus {
	exact := func(i int) energy.Estimate { return energy.Estimate{Value: max(x[i], 0)} }
	length := func(i int) energy.Estimate { return energy.Estimate{Value: max(x[i], 0) * x[AtRule]} }
	return energy.Apparatus{
		Spring: energy.Spring{
			Mass: exact(AtSpringMass), NaturalLength: length(AtNaturalLength),
			Rate: exact(AtRate), InitialTension: exact(AtInitialTension),
		},
		Bob:     energy.Bob{Mass: exact(AtBobMass), Length: length(AtBobLength)},
		Support: length(AtSupport),
		Gravity: exact(AtGravity),
	}
}

// With is [Apparatus] with what the bench has beside its inputs.
func (b *Bench) With(x []float64) energy.Apparatus {
	a := Apparatus(x)
	a.Spring.Departure = b.Departure
	return a
}
