package slip

import (
	"errors"
	"reflect"
	"slices"
	"strings"
	"testing"

	"joulewell/energy/balance"
	"joulewell/energy/quantity"
	"joulewell/energy/worksheet"
)

func reads(t testing.TB, kind quantity.Kind, text string) quantity.Quantity {
	t.Helper()
	q, err := quantity.Parse(text, kind)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// severn is let go where its hook touches the hanging spring, and timed by a light gate
// on its way down. A spring of 60 g on 25 N/m hangs 1.18 cm longer than it lies.
func severn(t testing.TB) balance.Readings {
	length := func(text string) quantity.Quantity { return reads(t, quantity.Length, text) }
	return balance.Readings{
		Bench: quantity.Bench{
			BobMass: reads(t, quantity.Mass, "250.0g"), SpringMass: reads(t, quantity.Mass, "60.0g"),
			Rate: reads(t, quantity.Rate, "25.0N/m"), Gravity: reads(t, quantity.Acceleration, "9.81m/s2"),
			BobLength: length("6.2cm"), NaturalLength: length("15.0cm"), Support: length("120.0cm"),
		},
		Hung:  length("16.2cm"),
		Start: balance.State{Height: length("97.6cm"), Length: length("16.2cm")},
		End:   balance.State{Height: length("89.8cm"), Length: length("24.0cm"), Speed: reads(t, quantity.Speed, "1.20m/s")},
	}
}

// wye is a bench of lengths alone; its spring is close-wound.
func wye(t testing.TB) balance.Readings {
	r := severn(t)
	r.Start.Length, r.End.Length = quantity.Quantity{}, quantity.Quantity{}
	r.Bench.InitialTension = reads(t, quantity.Force, "0.500N")
	return r
}

func sheet(t testing.TB, r balance.Readings, c worksheet.Choice) *worksheet.Sheet {
	t.Helper()
	s, _, err := worksheet.New(r, c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

type texts = map[worksheet.ID]string

func hold(t testing.TB, s *worksheet.Sheet, answers texts) *Report {
	t.Helper()
	r, err := Hold(s, answers)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func (r *Report) kinds() []Kind {
	var kinds []Kind
	for _, f := range r.Findings {
		kinds = append(kinds, f.Kind)
	}
	return kinds
}

func (r *Report) at(id worksheet.ID) Mark {
	return r.Marks[slices.IndexFunc(r.Marks, func(m Mark) bool { return m.ID == id })]
}

// Worked by hand. At the end X = 9.0 cm, so elastic 25 (0.09)^2/2 = 0.10125 J; kinetic
// 0.27 (1.2)^2/2 = 0.1944 J; gravitational 0.25 9.81 0.898 + 0.06 9.81 (1.2 - 0.12) =
// 2.2023 + 0.6357 = 2.8380 J. Start: X = 1.2 cm, 0.0018 J; 2.3936 + 0.6586 = 3.0523 J.
func TestEverySlipByHand(t *testing.T) {
	covered := map[Kind]bool{}
	for _, c := range []struct {
		bench func(testing.TB) balance.Readings
		at    worksheet.ID
		wrote string
		want  []Kind
	}{
		{severn, worksheet.EndExtension, "9.0 cm", nil},
		{severn, worksheet.EndElastic, "0.101 J", nil},
		{severn, worksheet.EndKinetic, "0.194 J", nil},
		{severn, worksheet.EndGravitational, "2.84 J", nil},
		{severn, worksheet.EndExtension, "24.0 cm", []Kind{LengthForExtension}},
		{severn, worksheet.EndElastic, "0.720 J", []Kind{LengthForExtension}},
		{severn, worksheet.EndExtension, "7.8 cm", []Kind{HungForNatural}},
		{severn, worksheet.EndElastic, "76.1 mJ", []Kind{HungForNatural}},
		{severn, worksheet.EndExtension, "-9.0 cm", []Kind{ExtensionTurned}},
		{severn, worksheet.EndElastic, "0.203 J", []Kind{ElasticHalf}},
		{severn, worksheet.EndElastic, "1.13 J", []Kind{NotSquared}},
		{wye, worksheet.EndElastic, "0.101 J", []Kind{TensionIgnored}}, // right: 0.10125 + 0.045
		{severn, worksheet.EndElastic, "1.01 mJ", []Kind{RateUnit}},
		{severn, worksheet.EndElastic, "101 J", []Kind{RateUnit}},
		{severn, worksheet.EndKinetic, "0.389 J", []Kind{KineticHalf}},
		{severn, worksheet.EndKinetic, "0.162 J", []Kind{SpeedNotSquared}},
		{severn, worksheet.EndKinetic, "0.180 J", []Kind{KineticSpring}},
		{severn, worksheet.EndKinetic, "0.223 J", []Kind{WholeSpring}},
		{severn, worksheet.EndGravitational, "2.20 J", []Kind{GravitationalSpring}},
		{severn, worksheet.EndGravitational, "2.99 J", []Kind{TopForBottom}},
		{wye, worksheet.EndExtension, "15.2 cm", []Kind{BobForgotten}},
		{severn, worksheet.EndGravitational, "2.893 J", []Kind{GravityRounded}},
		{severn, worksheet.EndElastic, "1010 J", []Kind{Centimetres}},
		{severn, worksheet.EndGravitational, "284 J", []Kind{Centimetres}},
		{severn, worksheet.EndGravitational, "2838 J", []Kind{Grams}},
		{severn, worksheet.EndElastic, "0.0018 J", []Kind{OtherState}},
		{severn, worksheet.EndTotal, "2.94 J", []Kind{TotalIncomplete}}, // without 0.194 kinetic
		{severn, worksheet.GravitationalChange, "0.214 J", []Kind{Turned}},
		{severn, worksheet.EndElastic, "1.44 J", []Kind{LengthForExtension, ElasticHalf}},
		{severn, worksheet.EndGravitational, "2.354 J", []Kind{GravitationalSpring, TopForBottom}},
	} {
		r := hold(t, sheet(t, c.bench(t), worksheet.Choice{}), texts{c.at: c.wrote})
		if got := r.kinds(); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s = %s: %v, want %v; %v", c.at, c.wrote, got, c.want, r.at(c.at))
		}
		for _, k := range c.want {
			covered[k] = true
		}
	}
	covered[PercentBase] = true // of a sheet of its own, below
	for _, k := range Kinds() {
		if !covered[k] {
			t.Errorf("%s: no case", k)
		}
	}
}

// Of 54 mJ lost, 214 mJ given up make 25 %; 3.00 J at the start make 1.8 %.
func TestPercentOfSomethingElse(t *testing.T) {
	s := sheet(t, severn(t), worksheet.Choice{})
	answers := texts{worksheet.StartTotal: "3.0541 J", worksheet.EndTotal: "3.1337 J", worksheet.GravitationalChange: "-214.3 mJ"}
	for wrote, want := range map[string][]Kind{"-37.1 %": nil, "-2.61 %": {PercentBase}, "-2.54 %": {PercentBase}} {
		answers[worksheet.Lost], answers[worksheet.PercentLost] = "-79.6 mJ", wrote
		if got := hold(t, s, answers).kinds(); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v, want %v", wrote, got, want)
		}
	}
}

// An extension of 24 cm is wrong once; what follows from it rightly is not.
func TestAccusedOnce(t *testing.T) {
	s := sheet(t, severn(t), worksheet.Choice{})
	r := hold(t, s, texts{
		worksheet.StartExtension: "16.2 cm", worksheet.StartElastic: "0.328 J", worksheet.StartTotal: "3.38 J",
		worksheet.EndExtension: "24.0 cm", worksheet.EndElastic: "0.720 J", worksheet.EndTotal: "3.75 J",
	})
	want := []Finding{{LengthForExtension, LengthForExtension.Hint(), []worksheet.ID{worksheet.StartExtension, worksheet.EndExtension}}}
	if !reflect.DeepEqual(r.Findings, want) {
		t.Errorf("findings %v, want %v", r.Findings, want)
	}
	if m := r.at(worksheet.EndTotal); m.Verdict != Follows || !reflect.DeepEqual(m.From, []worksheet.ID{worksheet.EndElastic}) {
		t.Errorf("the total: %v", m)
	}
	// half forgotten on the way from the wrong extension is a second slip
	r = hold(t, s, texts{worksheet.EndExtension: "24.0 cm", worksheet.EndElastic: "1.44 J"})
	if got := r.kinds(); !reflect.DeepEqual(got, []Kind{LengthForExtension, ElasticHalf}) {
		t.Errorf("two slips on the way: %v", got)
	}
	// and who comes back to the right way is right
	r = hold(t, s, texts{worksheet.EndExtension: "24.0 cm", worksheet.EndElastic: "0.101 J"})
	if m := r.at(worksheet.EndElastic); m.Verdict != Right {
		t.Errorf("right after a wrong extension: %v", m)
	}
}

// Extension from the hanging length and the spring's weight left out cancel in every
// difference (own derivation; held against full books outside this project): whoever is
// asked for the loss alone is right.
func TestTwoSlipsThatCancel(t *testing.T) {
	s := sheet(t, severn(t), worksheet.Choice{Results: []worksheet.ID{worksheet.Lost}})
	// M g (0.078) - k (0.078)^2/2 - 0.1944 = 0.1913 - 0.0761 - 0.1944
	if r := hold(t, s, texts{worksheet.Lost: "-0.0792 J"}); r.at(worksheet.Lost).Verdict != Right {
		t.Errorf("%v", r.Marks)
	}
	// the first alone: 0.0229 J more
	if r := hold(t, s, texts{worksheet.Lost: "-0.0563 J"}); r.at(worksheet.Lost).Verdict == Right {
		t.Errorf("one of them alone: %v", r.Marks)
	}
}

// Without the elastic energy written, a total lacks it whether it was left out or came
// out a thousand times too small.
func TestUndecided(t *testing.T) {
	s := sheet(t, severn(t), worksheet.Choice{Results: []worksheet.ID{worksheet.EndTotal}})
	r := hold(t, s, texts{worksheet.EndTotal: "3.032 J"})
	m := r.at(worksheet.EndTotal)
	if m.Verdict != Undecided || len(r.Findings) > 0 {
		t.Fatalf("%v, %v", m, r.Findings)
	}
	for _, k := range []Kind{RateUnit, TotalIncomplete} {
		if !slices.ContainsFunc(m.Perhaps, func(s []Kind) bool { return reflect.DeepEqual(s, []Kind{k}) }) {
			t.Errorf("%s is not among %v", k, m.Perhaps)
		}
	}
}

// Where the loss alone is asked for, some pair of slips leads near almost any figure: a
// figure out of the blue may not be explained.
func TestLossAloneTellsLittle(t *testing.T) {
	s := sheet(t, severn(t), worksheet.Choice{Results: []worksheet.ID{worksheet.Lost}})
	for _, wrote := range []string{"0.777 J", "-1.234 J", "2.22 J", "-0.456 J", "0.345 J"} {
		if m := hold(t, s, texts{worksheet.Lost: wrote}).at(worksheet.Lost); m.Verdict != Off {
			t.Errorf("%s: %v", wrote, m)
		}
	}
}

// What one figure leaves open another may decide: the same slip in both states.
func TestOtherFiguresDecide(t *testing.T) {
	a, b, c := set(1), set(2), set(4)
	for _, x := range []struct {
		name  string
		cases []riddle
		want  map[worksheet.ID][][]Kind
	}{
		{"single before pair", []riddle{{"one", []set{a | b, c}}}, map[worksheet.ID][][]Kind{"one": {c.kinds()}}},
		{"undecided", []riddle{{"one", []set{a, b, b | c}}}, map[worksheet.ID][][]Kind{"one": {a.kinds(), b.kinds()}}},
		{"another decides", []riddle{{"one", []set{a, b}}, {"two", []set{b, c}}}, map[worksheet.ID][][]Kind{"one": {b.kinds()}, "two": {b.kinds()}}},
		{"a pair twice before three", []riddle{{"one", []set{c, a | b}}, {"two", []set{a | b}}},
			map[worksheet.ID][][]Kind{"one": {(a | b).kinds()}, "two": {(a | b).kinds()}}},
		{"none", []riddle{{"one", nil}}, map[worksheet.ID][][]Kind{}},
		{"too many for one story", []riddle{{"one", []set{3}}, {"two", []set{12}}, {"three", []set{48, 192}}},
			map[worksheet.ID][][]Kind{"one": {set(3).kinds()}, "two": {set(12).kinds()}, "three": {set(48).kinds(), set(192).kinds()}}},
	} {
		if got := settle(x.cases); !reflect.DeepEqual(got, x.want) {
			t.Errorf("%s: %v, want %v", x.name, got, x.want)
		}
	}
}

// Kinetic energy is 0.1944 J, and every reading in it has three digits or more. A figure
// cut off instead of rounded passes.
func TestVerdictsOnDigits(t *testing.T) {
	s := sheet(t, severn(t), worksheet.Choice{})
	for wrote, want := range map[string]Verdict{
		"0.194 J": Right, "0.1944 J": Right, "194 mJ": Right, "0,194 J": Right, "0.19440 J": Right, "0.1943 J": Right,
		"0.19 J": Coarse, "0.2 J": Coarse, "0.193 J": Off, "0.196 J": Off, "": Blank,
	} {
		if m := hold(t, s, texts{worksheet.EndKinetic: wrote}).at(worksheet.EndKinetic); m.Verdict != want {
			t.Errorf("%q: %s, want %s", wrote, m.Verdict, want)
		}
	}
	if m := hold(t, s, texts{worksheet.Explanation: "sound"}).at(worksheet.Explanation); m.Verdict != Words {
		t.Errorf("words: %v", m)
	}
}

// Hints say where to look, never a value.
func TestHintsTellNoValue(t *testing.T) {
	if n := len(Kinds()); n > 32 {
		t.Fatalf("%d kinds: a set holds 32", n)
	}
	for _, k := range Kinds() {
		if h := k.Hint(); h == "" || strings.ContainsAny(h, "0123456789=") {
			t.Errorf("%s: hint %q", k, h)
		}
	}
}

func TestRefusals(t *testing.T) {
	s := sheet(t, severn(t), worksheet.Choice{Results: []worksheet.ID{worksheet.EndElastic, worksheet.PercentLost}})
	for _, c := range []struct {
		id    worksheet.ID
		wrote string
		want  error
	}{
		{worksheet.EndElastic, "much", ErrNoFigure},
		{worksheet.EndElastic, "NaN J", ErrNoFigure},
		{worksheet.EndElastic, "1e300 J", ErrNoFigure},
		{worksheet.EndElastic, "12345678901234567890 J", ErrNoFigure},
		{worksheet.EndElastic, "1e-40 J", ErrNoFigure},
		{worksheet.EndElastic, "0.101", ErrNoUnit},
		{worksheet.EndElastic, "0.101 cm", ErrUnit},
		{worksheet.EndElastic, "0.101 J +- 0.1 J", ErrUnit},
		{worksheet.PercentLost, "3.1", ErrNoUnit},
		{worksheet.PercentLost, "3.1 J", ErrUnit},
		{worksheet.StartElastic, "1 J", ErrNotAsked},
		{"height_of_the_moon", "1 m", ErrNotAsked},
	} {
		_, err := Hold(s, texts{c.id: c.wrote})
		var f *FigureError
		if !errors.Is(err, c.want) || !errors.As(err, &f) || f.ID != c.id {
			t.Errorf("%s = %q: %v, want %v", c.id, c.wrote, err, c.want)
		}
	}
	_, err := Hold(s, texts{worksheet.EndElastic: "much", worksheet.PercentLost: "3"})
	if !errors.Is(err, ErrNoFigure) || !errors.Is(err, ErrNoUnit) {
		t.Errorf("two at once: %v", err)
	}
	if _, err := Hold(&worksheet.Sheet{}, nil); !errors.Is(err, worksheet.ErrSheet) {
		t.Errorf("no sheet: %v", err)
	}
}

// Whatever is written, it is refused with a reason or judged.
func FuzzHold(f *testing.F) {
	s := sheet(f, severn(f), worksheet.Choice{})
	f.Add("0.101 J", "3.05 J", "-37 %")
	f.Add("1e-30 J", "-1e15 J", "0%")
	f.Add("0 J", "", "1e99 %")
	f.Fuzz(func(t *testing.T, elastic, total, percent string) {
		r, err := Hold(s, texts{worksheet.EndElastic: elastic, worksheet.StartTotal: total, worksheet.PercentLost: percent})
		var refused *FigureError
		if err != nil && !errors.As(err, &refused) {
			t.Fatalf("no typed reason: %v", err)
		}
		if err == nil && len(r.Marks) != len(s.Results) {
			t.Fatalf("%d marks for %d blanks", len(r.Marks), len(s.Results))
		}
	})
}
