package paper

import (
	"strings"
	"testing"

	"joulewell/energy/balance"
	"joulewell/energy/quantity"
	"joulewell/energy/worksheet"
)

// drop is a sheet of a drop, titled by somebody who likes odd characters, and its key.
func drop(t *testing.T) (*worksheet.Sheet, *worksheet.Key) {
	t.Helper()
	var r balance.Readings
	for _, given := range []struct {
		field *quantity.Quantity
		text  string
		kind  quantity.Kind
	}{
		{&r.Bench.BobMass, "250.1 g", quantity.Mass},
		{&r.Bench.BobLength, "6.2 cm", quantity.Length},
		{&r.Bench.NaturalLength, "11.8 cm", quantity.Length},
		{&r.Bench.SpringMass, "9.8 g", quantity.Mass},
		{&r.Bench.Rate, "24.6 N/m", quantity.Rate},
		{&r.Bench.Support, "96.5 cm", quantity.Length},
		{&r.Start.Height, "78.4 cm", quantity.Length},
		{&r.End.Height, "59.4 cm", quantity.Length},
	} {
		q, err := quantity.Parse(given.text, given.kind)
		if err != nil {
			t.Fatal(err)
		}
		*given.field = q
	}
	sheet, key, err := worksheet.New(r, worksheet.Choice{Title: `Drop <b>&"S-4"</b>`})
	if err != nil {
		t.Fatal(err)
	}
	return sheet, key
}

func page(t *testing.T, sheet *worksheet.Sheet, key *worksheet.Key) string {
	t.Helper()
	var b strings.Builder
	if err := Worksheet(&b, sheet, key); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestSheetAsksAndKeyAnswers(t *testing.T) {
	sheet, key := drop(t)
	blank, answers := page(t, sheet, nil), page(t, sheet, key)
	for _, i := range key.Items {
		if i.ID == worksheet.Explanation {
			continue
		}
		figure := ">" + i.Printed + " " + i.Unit + "<"
		if strings.Contains(blank, figure) || !strings.Contains(answers, figure) {
			t.Errorf("%s: %q belongs on the key alone", i.ID, figure)
		}
	}
	if n := strings.Count(blank, `class="blank"`); n != len(sheet.Results)-1 || strings.Count(blank, `class="words"`) != 1 {
		t.Errorf("%d blanks for %d results and an explanation", n, len(sheet.Results)-1)
	}
	if strings.Contains(answers, `class="blank"`) || !strings.Contains(answers, `class="mark"`) || strings.Contains(blank, `class="mark"`) {
		t.Error("key and sheet are not told apart")
	}
	for name, text := range map[string]string{"sheet": blank, "key": answers} {
		keepsToItself(t, name, text)
		if strings.Contains(text, "<b>&") || !strings.Contains(text, "Drop &lt;b&gt;&amp;") {
			t.Errorf("%s: the title is taken for markup", name)
		}
		if !strings.Contains(text, "keep faces out of the line of a stretched spring") {
			t.Errorf("%s: no caution", name)
		}
	}
}
