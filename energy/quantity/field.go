package quantity

import (
	"strings"

	"joulewell/energy"
)

// Field is a reading that a person gives, under the name that every way of giving it
// (option, file, page) knows it by.
type Field struct {
	Name string // words joined by hyphens
	Kind Kind
	To   *Quantity
	Zero bool   // a plain zero, or "none", is a decision, not a reading
	Help string // what is meant, in a few words; brackets hold what counts when it is left out
}

// Read takes the reading as a person writes it, see [Parse].
func (f *Field) Read(text string) error {
	if f.Zero && strings.EqualFold(text, "none") {
		*f.To = Chosen(f.Kind, 0)
		return nil
	}
	q, err := Parse(text, f.Kind)
	if err != nil {
		return err
	}
	if f.Zero && q.Value == 0 && q.How == LastDigit {
		q = Chosen(f.Kind, 0)
	}
	*f.To = q
	return nil
}

// Fields lists the readings that describe b.
func (b *Bench) Fields() []Field {
	return []Field{
		{Name: "bob-mass", Kind: Mass, To: &b.BobMass, Help: "everything that hangs below the spring"},
		{Name: "bob-length", Kind: Length, To: &b.BobLength, Help: "from the spring's lower end to the bob's lowest point"},
		{Name: "spring-mass", Kind: Mass, To: &b.SpringMass, Help: "hooks included"},
		{Name: "natural-length", Kind: Length, To: &b.NaturalLength, Help: "of the spring lying unloaded on the table"},
		{Name: "spring-rate", Kind: Rate, To: &b.Rate, Help: "force per extension"},
		{Name: "initial-tension", Kind: Force, To: &b.InitialTension, Zero: true, Help: "force at which a close-wound spring begins to open (none)"},
		{Name: "gravity", Kind: Acceleration, To: &b.Gravity, Help: "where it was measured; else give latitude and altitude"},
		{Name: "support-height", Kind: Length, To: &b.Support, Help: "of the point that holds the spring's top, above the floor"},
		{Name: "rule", Kind: Ratio, To: &b.Rule, Help: "true length over length read, as in \"1 +- 0.05%\" (a perfect rule)"},
	}
}

// Know takes what is known of an apparatus. Gravity that is but the convention stays not
// given.
func (b *Bench) Know(a *energy.Apparatus) {
	b.BobMass, b.BobLength = Known(Mass, a.Bob.Mass), Known(Length, a.Bob.Length)
	b.SpringMass, b.NaturalLength = Known(Mass, a.Spring.Mass), Known(Length, a.Spring.NaturalLength)
	b.Rate, b.Support = Known(Rate, a.Spring.Rate), Known(Length, a.Support)
	if a.Spring.InitialTension != (energy.Estimate{}) {
		b.InitialTension = Known(Force, a.Spring.InitialTension)
	}
	if convention := StandardGravity(); a.Gravity != (energy.Estimate{Value: convention.Value, U: convention.U}) {
		b.Gravity = Known(Acceleration, a.Gravity)
	}
	b.Departure = a.Spring.Departure
}
