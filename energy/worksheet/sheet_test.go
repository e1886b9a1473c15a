package worksheet

import (
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"

	"joulewell/energy/balance"
	"joulewell/energy/quantity"
)

func reads(t testing.TB, kind quantity.Kind, text string) quantity.Quantity {
	t.Helper()
	q, err := quantity.Parse(text, kind)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// bench reads a bench by rule and balance; lengths to the digits given.
func bench(t testing.TB, lengths [6]string) balance.Readings {
	length := func(i int) quantity.Quantity { return reads(t, quantity.Length, lengths[i]) }
	return balance.Readings{
		Bench: quantity.Bench{
			BobMass: reads(t, quantity.Mass, "250.0g"), SpringMass: reads(t, quantity.Mass, "60.0g"),
			Rate: reads(t, quantity.Rate, "25.0N/m"), Gravity: reads(t, quantity.Acceleration, "9.80665m/s2"),
			NaturalLength: length(0), BobLength: length(1), Support: length(2),
		},
		Hung:  length(3),
		Start: balance.State{Length: length(4)},
		End:   balance.State{Length: length(5)},
	}
}

// tamar is read to a millimetre.
func tamar(t testing.TB) balance.Readings {
	return bench(t, [6]string{"15.0cm", "6.2cm", "120.0cm", "16.2cm", "16.2cm", "35.6cm"})
}

func made(t testing.TB, r balance.Readings, c Choice) (*Sheet, *Key) {
	t.Helper()
	s, k, err := New(r, c)
	if err != nil {
		t.Fatal(err)
	}
	return s, k
}

func (k *Key) right(id ID) Right {
	for _, i := range k.Items {
		if i.ID == id {
			return *i.Value
		}
	}
	return Right{math.NaN(), math.NaN(), math.NaN(), exact}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.12g, want %.12g within %.2g", what, got, want, tol)
	}
}

// A bob of 250 g let go where its hook touches a hanging spring of 60 g and 25 N/m: the
// spring hangs 0.01176798 m longer than it lies and the bob falls 2 M g/k = 0.196133 m,
// worked out outside this project. Without loss the two totals agree.
func TestLosslessFall(t *testing.T) {
	_, k := made(t, bench(t, [6]string{"15.000000cm", "6.2cm", "120.0cm", "16.176798cm", "16.176798cm", "35.790098cm"}), Choice{})
	near(t, "lost", k.right(Lost).Exact, 0, 1e-7)
	near(t, "share lost", k.right(PercentLost).Exact, 0, 1e-6)
	near(t, "elastic energy given", k.right(ElasticChange).Exact, 25*(0.20790098*0.20790098-0.01176798*0.01176798)/2, 1e-12)
}

// What the sheet asks must be what the books of the project say, line by line.
func TestKeyAgreesWithTheBooks(t *testing.T) {
	r := tamar(t)
	r.Bench.InitialTension = reads(t, quantity.Force, "0.20N")
	r.End = balance.State{Height: reads(t, quantity.Length, "85.0cm"), Speed: reads(t, quantity.Speed, "1.20m/s")}
	_, k := made(t, r, Choice{})
	c, err := balance.Compare(r, balance.Method{})
	if err != nil {
		t.Fatal(err)
	}
	line := map[string]balance.Line{}
	for _, l := range c.Lines {
		line[l.Name] = l
	}
	bias := 0.27 * math.Pow(r.End.Speed.U, 2) / 2 // the books take the noise of the speed off
	near(t, "kinetic", k.right(EndKinetic).Exact, line["kinetic"].End.Value+bias, 1e-12)
	near(t, "elastic, start", k.right(StartElastic).Exact, line["elastic"].Start.Value, 1e-12)
	near(t, "elastic, end", k.right(EndElastic).Exact, line["elastic"].End.Value, 1e-12)
	near(t, "gravitational, start", k.right(StartGravitational).Exact, line["gravitational, bob"].Start.Value+line["gravitational, spring"].Start.Value, 1e-12)
	near(t, "gravitational, end", k.right(EndGravitational).Exact, line["gravitational, bob"].End.Value+line["gravitational, spring"].End.Value, 1e-12)
}

// By hand: X = 0.206 m, 25 X²/2 = 0.53045 J. Rounded on the way to three digits most is
// lost by (25/2) X = 2.575, which may become 2.57 or 2.58, times 0.206: 0.52942 and
// 0.53148. With four digits X² = 0.042436 may become 0.04244, times 12.5: 0.5305, and X²/2
// = 0.021218 may become 0.02122: the same; nothing comes out lower.
func TestIntervalByHand(t *testing.T) {
	for _, c := range []struct {
		digits    int
		low, high float64
		place     int
	}{{3, 0.52942, 0.53148, -3}, {4, 0.53045, 0.5305, -4}} {
		_, k := made(t, tamar(t), Choice{Digits: c.digits})
		e := k.right(EndElastic)
		near(t, "exact", e.Exact, 0.53045, 1e-12)
		near(t, "low", e.Low, c.low, 1e-12)
		near(t, "high", e.High, c.high, 1e-12)
		if e.Place != c.place {
			t.Errorf("last digit at 10^%d, want 10^%d", e.Place, c.place)
		}
	}
}

// A sheet read back from JSON is the same sheet, and every number in SI says so.
func TestJSON(t *testing.T) {
	s, k := made(t, tamar(t), Choice{Title: "Tamar, spring S-4"})
	text, err := json.Marshal(s)
	if err != nil {
		t.Fatal(err)
	}
	var back Sheet
	if err := json.Unmarshal(text, &back); err != nil {
		t.Fatal(err)
	}
	again, err := back.Key()
	if err != nil {
		t.Fatal(err)
	}
	again.Verdict = k.Verdict
	if !reflect.DeepEqual(k, again) {
		t.Errorf("the key of the sheet read back is another:\n%v\n%v", k, again)
	}
	if text, err = json.Marshal(k); err != nil || !strings.Contains(string(text), `"exact_si":0.53044`) {
		t.Errorf("%s, %v", text, err)
	}
}

func TestText(t *testing.T) {
	s, k := made(t, tamar(t), Choice{
		Title:    "Tamar, spring S-4",
		Readings: []ID{BobMass, Rate, NaturalLength, Gravity, StartLength, EndLength},
		Results:  []ID{EndElastic, Explanation},
	})
	want := `Tamar, spring S-4
=================

Read:
  mass of the bob, M ...............................................     250.0 g
  rate of the spring, k ............................................      25.0 N/m
  natural length of the spring, lying on the table, L0 .............      15.0 cm
  acceleration of free fall, g .....................................   9.80665 m/s2
  length of the spring at the start, L1 ............................      16.2 cm
  length of the spring at the end, L2 ..............................      35.6 cm

Work out:
  elastic energy at the end, Ee2 ...................................  ________ J
  where you think the difference went, and whether the readings can tell:
`
	if text := s.Text(); !strings.HasPrefix(text, want) {
		t.Errorf("sheet:\n%s", text)
	}
	if strings.Contains(s.Text(), "0.530") {
		t.Error("the sheet gives the answer away")
	}
	text := k.Text()
	for _, want := range []string{"0.530 J   (0.5294 to 0.5315)\n    Ee2 = 0.5 k X2 X2", "does without spring_mass", k.Verdict} {
		if !strings.Contains(text, want) {
			t.Errorf("key lacks %q:\n%s", want, text)
		}
	}
}

func TestNotes(t *testing.T) {
	_, k := made(t, tamar(t), Choice{})
	if all := strings.Join(k.Notes, "\n"); !strings.Contains(all, "ask for more digits") || strings.Contains(all, "coils") {
		t.Errorf("notes: %s", all)
	}
	r := tamar(t)
	r.Start.Length = reads(t, quantity.Length, "15.0cm") // held up until every coil is closed
	_, k = made(t, r, Choice{Results: []ID{EndElastic}})
	// (0.06 9.80665)²/(12 25) = 1.154 mJ
	if all := strings.Join(k.Notes, "\n"); !strings.Contains(all, "at the start some coils are closed") || !strings.Contains(all, "1.154 mJ") {
		t.Errorf("notes: %s", all)
	}
}

// A reading is printed as far as it is known: to the digit it was read to, or to the one
// that its uncertainty leaves.
func TestPrintedDigits(t *testing.T) {
	for text, want := range map[string]string{
		"250g": "250", "250.0g": "250.0", "0.2501kg": "250.1", "250.13g +- 0.2g": "250.1", "250.1g +- 3g": "250",
		"250.2g read to 0.2g": "250.2", "250.10g +- 0.02g k=2": "250.10",
	} {
		if i := BobMass.find().printed(reads(t, quantity.Mass, text)); i.Printed != want || i.Unit != "g" {
			t.Errorf("%s: printed %s %s, want %s g", text, i.Printed, i.Unit, want)
		}
	}
	if i := Gravity.find().printed(quantity.StandardGravity()); i.Printed != "9.81" {
		t.Errorf("gravity by convention: printed %s", i.Printed)
	}
}

func TestChoiceRefusals(t *testing.T) {
	for _, c := range []struct {
		name   string
		choice Choice
		id     ID
		reason error
		lacks  []ID
	}{
		{"unknown reading", Choice{Readings: []ID{"colour"}}, "colour", ErrUnknown, nil},
		{"a result as a reading", Choice{Readings: []ID{Lost}}, Lost, ErrUnknown, nil},
		{"unknown result", Choice{Results: []ID{Rate}}, Rate, ErrUnknown, nil},
		{"not taken", Choice{Readings: []ID{EndSpeed}}, EndSpeed, ErrNotTaken, nil},
		{"no rate", Choice{Readings: []ID{NaturalLength, EndLength}, Results: []ID{EndElastic}}, EndElastic, ErrCannot, []ID{Rate}},
		{"no support", Choice{Readings: []ID{BobMass, SpringMass, Gravity, EndLength}, Results: []ID{EndGravitational}}, EndGravitational, ErrCannot,
			[]ID{EndHeight, SupportHeight}},
		{"no speed", Choice{Results: []ID{EndKinetic}}, EndKinetic, ErrCannot, nil},
	} {
		_, _, err := New(tamar(t), c.choice)
		var refused *ChoiceError
		if !errors.Is(err, c.reason) || !errors.As(err, &refused) || refused.ID != c.id || !reflect.DeepEqual(refused.Lacks, c.lacks) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	r := tamar(t)
	r.Bench.BobMass = quantity.Quantity{}
	if _, _, err := New(r, Choice{}); err == nil || !strings.Contains(err.Error(), "bob mass is missing") {
		t.Errorf("a bench that is none: %v", err)
	}
	if _, _, err := New(tamar(t), Choice{Digits: 9}); !errors.Is(err, ErrSheet) {
		t.Errorf("nine digits: %v", err)
	}
}

func TestSheetRefusals(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Sheet)
		want   string
	}{
		{"unknown", func(s *Sheet) { s.Readings[0].ID = "colour" }, `"colour" is no reading`},
		{"twice", func(s *Sheet) { s.Readings[1] = s.Readings[0] }, "bob_mass is there twice"},
		{"no figure", func(s *Sheet) { s.Readings[0].Printed = "heavy" }, "must begin with a number"},
		{"no unit", func(s *Sheet) { s.Readings[0].Unit = "" }, "no unit"},
		{"uncertainty", func(s *Sheet) { s.Readings[0].Unit = "g +- 1g" }, "no uncertainty"},
		{"cannot", func(s *Sheet) { s.Results[0].ID = StartKinetic }, "cannot be worked out"},
		{"no result", func(s *Sheet) { s.Results[0].ID = Rate }, "cannot be worked out"},
	} {
		s, _ := made(t, tamar(t), Choice{})
		c.change(s)
		if _, err := s.Key(); !errors.Is(err, ErrSheet) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.name, err, c.want)
		}
	}
	for _, end := range []string{"16.2cm", "16.3cm"} { // a share of nothing, and of what rounding may make nothing
		r := tamar(t)
		r.End.Length = reads(t, quantity.Length, end)
		if _, _, err := New(r, Choice{Results: []ID{Lost, PercentLost}}); err == nil || !strings.Contains(err.Error(), "leave it off the sheet") {
			t.Errorf("percent of nothing: %v", err)
		}
		if s, _ := made(t, r, Choice{}); s.Asks(PercentLost) || !s.Asks(Lost) {
			t.Errorf("asked for where nobody chose: %v", s.Results)
		}
	}
}

// A formula says how it gets what neither is printed nor asked for.
func TestFormulaOfWhatStandsNowhere(t *testing.T) {
	r := tamar(t)
	r.Start = balance.State{Height: reads(t, quantity.Length, "97.6cm")}
	_, key := made(t, r, Choice{Results: []ID{StartExtension, StartElastic}})
	if got, want := key.Items[0].Formula, "X1 = L1 - L0; L1 = H - h1 - l_b"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got := key.Items[1].Formula; strings.Contains(got, ";") {
		t.Errorf("%q explains what is asked for itself", got)
	}
}
