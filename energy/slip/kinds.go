package slip

import (
	"joulewell/energy/quantity"
	"joulewell/energy/worksheet"
)

// Kind is a kind of slip.
type Kind string

// The kinds. Two words for one and the same figure are one kind: a difference with the
// wrong sign and one taken the other way round.
const (
	LengthForExtension  Kind = "length for extension"
	HungForNatural      Kind = "hung for natural length"
	ExtensionTurned     Kind = "extension with the other sign"
	ElasticHalf         Kind = "half left out of elastic energy"
	NotSquared          Kind = "extension not squared"
	TensionIgnored      Kind = "initial tension ignored"
	RateUnit            Kind = "unit of the rate"
	KineticHalf         Kind = "half left out of kinetic energy"
	SpeedNotSquared     Kind = "speed not squared"
	KineticSpring       Kind = "spring left out of kinetic energy"
	WholeSpring         Kind = "whole spring in kinetic energy"
	GravitationalSpring Kind = "spring left out of gravitational energy"
	TopForBottom        Kind = "bob's top for its bottom"
	BobForgotten        Kind = "bob left out of the spring's length"
	GravityRounded      Kind = "gravity rounded"
	Centimetres         Kind = "centimetres left in"
	Grams               Kind = "grams left in"
	OtherState          Kind = "reading of the other state"
	Turned              Kind = "difference turned round"
	TotalIncomplete     Kind = "a kind of energy left out of the total"
	PercentBase         Kind = "percent of something else"
)

// rewrite turns the formula of a result into the one that the slip leads to; it returns
// false where the slip has no place.
type rewrite func(id worksheet.ID, e worksheet.Expr) (worksheet.Expr, bool)

// known is a kind of slip with its ways: a gravity rounded to 9.8 and to 10 are two ways
// of one kind.
type known struct {
	kind Kind
	hint string
	ways []rewrite
}

// slips are all that are tried. A new one is a line here.
var slips = []known{
	{LengthForExtension, "which length did you square?",
		[]rewrite{in("extension", drop(is(worksheet.NaturalLength))), in("elastic", stretch(lengthItself))}},
	{HungForNatural, "from which length of the spring does extension count: lying on the table, or hanging?",
		[]rewrite{in("extension", replace(worksheet.NaturalLength, worksheet.Val(worksheet.HungLength))), in("elastic", stretch(fromHung))}},
	{ExtensionTurned, "in which direction does extension count as positive?",
		[]rewrite{in("extension", negative)}},
	{ElasticHalf, "look at the formula for elastic energy: how does the force grow while the spring is stretched?",
		[]rewrite{in("elastic", unfactor(half))}},
	{NotSquared, "look at the formula for elastic energy: how often does the extension enter it?",
		[]rewrite{in("elastic", single)}},
	{TensionIgnored, "what does this spring need before it opens at all?",
		[]rewrite{in("elastic", drop(is(worksheet.InitialTension)))}},
	{RateUnit, "in which unit does the rate of the spring stand, and in which do you need it?",
		[]rewrite{in("elastic", times(0.01, is(worksheet.Rate))), in("elastic", times(0.001, is(worksheet.Rate))),
			in("elastic", times(100, is(worksheet.Rate))), in("elastic", times(1000, is(worksheet.Rate)))}},
	{KineticHalf, "look at the formula for kinetic energy once more",
		[]rewrite{in("kinetic", unfactor(half))}},
	{SpeedNotSquared, "look at the formula for kinetic energy: how often does the speed enter it?",
		[]rewrite{in("kinetic", single)}},
	{KineticSpring, "what moves besides the bob?",
		[]rewrite{in("kinetic", drop(is(worksheet.SpringMass)))}},
	{WholeSpring, "does every coil of the spring move as fast as the bob?",
		[]rewrite{in("kinetic", whole(worksheet.SpringMass))}},
	{GravitationalSpring, "what was lifted besides the bob?",
		[]rewrite{in("gravitational", drop(is(worksheet.SpringMass)))}},
	{TopForBottom, "to which point of the bob did you take its height?",
		[]rewrite{in("height", drop(is(worksheet.BobLength))), in("gravitational", toTop)}},
	{BobForgotten, "what is there between the support and the bob's lowest point besides the spring?",
		[]rewrite{in("length", drop(is(worksheet.BobLength)))}},
	{GravityRounded, "which value of gravity did you use, and which stands on the sheet?",
		[]rewrite{in("gravitational", replace(worksheet.Gravity, worksheet.Num(9.8))), in("gravitational", replace(worksheet.Gravity, worksheet.Num(10)))}},
	{Centimetres, "in which unit did the lengths enter the formula?",
		[]rewrite{either("elastic", "gravitational", times(100, of(quantity.Length))),
			in("elastic", times(100, of(quantity.Length))), in("gravitational", times(100, of(quantity.Length)))}},
	{Grams, "in which unit did the masses enter the formula?",
		[]rewrite{either("kinetic", "gravitational", times(1000, of(quantity.Mass))),
			in("kinetic", times(1000, of(quantity.Mass))), in("gravitational", times(1000, of(quantity.Mass)))}},
	{OtherState, "do the readings you used belong to this state, or to the other one?",
		[]rewrite{in("extension", otherState), in("elastic", otherState), in("gravitational", otherState), in("kinetic", otherState)}},
	{Turned, "which of the two is taken away from which?",
		[]rewrite{turned}},
	{TotalIncomplete, "which kinds of energy make up the total?",
		[]rewrite{in("total", part("elastic")), in("total", part("kinetic")), in("total", part("gravitational"))}},
	{PercentBase, "percent of what?",
		[]rewrite{base(worksheet.Val(worksheet.StartTotal)), base(worksheet.Val(worksheet.EndTotal)),
			base(worksheet.Val(worksheet.ElasticChange)), base(worksheet.Val(worksheet.StartGravitational))}},
}

// excluded pairs contradict each other: nobody makes both at once.
var excluded = [][2]Kind{
	{LengthForExtension, HungForNatural}, {KineticSpring, WholeSpring},
}

// Kinds lists the kinds of slip that are known.
func Kinds() []Kind {
	all := make([]Kind, len(slips))
	for i, k := range slips {
		all[i] = k.kind
	}
	return all
}

// Hint returns where to look, in words to the student.
func (k Kind) Hint() string {
	for _, l := range slips {
		if l.kind == k {
			return l.hint
		}
	}
	return ""
}
