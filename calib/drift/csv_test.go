package drift

import (
	"bytes"
	"errors"
	"math"
	"strings"
	"testing"
)

const book = `time_utc,what,standard,reference_N,u_reference_N,indication_N,u_indication_N,readings,air_temperature_C,note
2026-03-02T18:30:00Z,mass,M-1,1.962,0.0002,1.9627,0.00011,800,21.4,"after the class, lamp off"
2026-03-09T18:31:07.5Z,zero,,0,0,-0.0003,0.0001,800,,
`

func TestReadAndWriteABook(t *testing.T) {
	h, err := Read(strings.NewReader(book))
	if err != nil {
		t.Fatal(err)
	}
	if h.Unit != Newtons || len(h.Records) != 2 {
		t.Fatalf("%+v", h)
	}
	a, b := h.Records[0], h.Records[1]
	near(t, "deviation", a.Deviation().Value, 0.0007, 1e-12)
	if a.Air != 21.4 || !math.IsNaN(b.Air) || a.Note != "after the class, lamp off" || b.What != Zero {
		t.Errorf("records %+v, %+v", a, b)
	}
	near(t, "seconds between", b.When.Sub(a.When).Seconds(), 7*86400+67.5, 1e-9)
	var out bytes.Buffer
	if err := Write(&out, h); err != nil {
		t.Fatal(err)
	}
	if out.String() != book {
		t.Errorf("written again:\n%s", out.String())
	}
}

// Cut at every byte: every record whose line is whole survives, and the rest is told of.
func TestTornAtEveryByte(t *testing.T) {
	for n := 1; n < len(book); n++ {
		h, err := Read(strings.NewReader(book[:n]))
		whole := strings.Count(book[:n], "\n") - 1
		if len(h.Records) != max(0, whole) {
			t.Errorf("cut at %d: %d records, want %d", n, len(h.Records), whole)
		}
		if book[n-1] == '\n' {
			if err != nil {
				t.Errorf("cut at %d, a line end: %v", n, err)
			}
		} else if !errors.Is(err, ErrTorn) {
			t.Errorf("cut at %d: %v, want it told as torn", n, err)
		}
	}
}

func TestReadRefusals(t *testing.T) {
	header, rows, _ := strings.Cut(book, "\n")
	first, second, _ := strings.Cut(rows, "\n")
	for name, of := range map[string]struct {
		text  string
		words []string
	}{
		"empty":         {"", []string{"no header", "reference_N"}},
		"other header":  {strings.Replace(book, "reference_N", "reference_g", 1), []string{"line 1", "header"}},
		"mixed units":   {strings.Replace(book, "_N,u_r", "_m,u_r", 1), []string{"line 1", "header"}},
		"order":         {header + "\n" + second + first + "\n", []string{"line 3", "older"}},
		"not a number":  {strings.Replace(book, "0.0002", "0,0002", 1), []string{"line 2", "fields"}},
		"NaN":           {strings.Replace(book, "1.9627", "NaN", 1), []string{"line 2", "indication", "finite"}},
		"word":          {strings.Replace(book, "1.9627", "many", 1), []string{"line 2", "column 6", "many"}},
		"local time":    {strings.Replace(book, "00Z", "00+01:00", 1), []string{"line 2", "time_utc"}},
		"readings":      {strings.Replace(book, "800", "8e2", 1), []string{"line 2", "readings"}},
		"air":           {strings.Replace(book, "21.4", "mild", 1), []string{"line 2", "air", "mild"}},
		"quoted breaks": {strings.Replace(book, "class, lamp", "class\nlamp", 1), []string{"line 2", "one line"}},
	} {
		_, err := Read(strings.NewReader(of.text))
		if err == nil {
			t.Errorf("%s: passed", name)
			continue
		}
		refused(t, err, of.words...)
	}
	refused(t, Write(new(bytes.Buffer), History{Unit: "kg"}), "kg")
}

// Whatever is read without complaint is written and read again to the same records.
func FuzzRead(f *testing.F) {
	f.Add(book)
	f.Add(strings.ReplaceAll(book, "_N", "_counts"))
	f.Add(book[:len(book)-9])
	f.Fuzz(func(t *testing.T, text string) {
		h, err := Read(strings.NewReader(text))
		if err != nil {
			return
		}
		var once, twice bytes.Buffer
		if err := Write(&once, h); err != nil {
			t.Fatalf("read but not written: %v", err)
		}
		again, err := Read(bytes.NewReader(once.Bytes()))
		if err != nil || len(again.Records) != len(h.Records) {
			t.Fatalf("%d records written, %d read: %v", len(h.Records), len(again.Records), err)
		}
		if err := Write(&twice, again); err != nil || !bytes.Equal(once.Bytes(), twice.Bytes()) {
			t.Fatalf("written twice:\n%s\n%s\n%v", once.Bytes(), twice.Bytes(), err)
		}
	})
}
