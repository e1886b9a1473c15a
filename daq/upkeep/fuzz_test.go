package upkeep

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"joulewell/daq/setup"
)

// Whatever stands in a book, it is refused as spoiled, or the bench that goes by it can be.
func FuzzParseBook(f *testing.F) {
	text, err := os.ReadFile("../../testdata/benches/severn.toml")
	if err != nil {
		f.Fatal(err)
	}
	bench, err := setup.Parse(string(text))
	if err != nil {
		f.Fatal(err)
	}
	e := spring("2026-09-01", 24.7)
	whole, err := e.text()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(whole)
	f.Add(head + whole + whole)
	f.Add(strings.Replace(whole, "24.7", "nan", 1))
	f.Add(strings.Replace(whole, "24.7", "\"24.7\"", 1))
	f.Add("[[calibration]]\nkind = \"timing\"\ndate = 2026-10-05\nas_left = { force_delay_ms = 1e999 }\n")
	f.Add("calibration = 3")
	f.Fuzz(func(t *testing.T, text string) {
		book, err := Parse(text)
		if err != nil {
			if !errors.Is(err, ErrSpoiled) {
				t.Fatalf("refused, but not as spoiled: %v", err)
			}
			return
		}
		laid, _, err := book.Apply(bench)
		if err != nil {
			if !errors.Is(err, ErrSpoiled) {
				t.Fatalf("refused, but not as spoiled: %v", err)
			}
			return
		}
		if err := laid.Bench.Apparatus.Check(); err != nil {
			t.Fatalf("a bench that cannot be: %v", err)
		}
		if err := laid.Bench.Calibration.Check(); err != nil {
			t.Fatalf("a calibration that cannot be: %v", err)
		}
	})
}

// Whatever stands in a file of points, a table made of it holds numbers that are finite
// where they are told.
func FuzzTable(f *testing.F) {
	f.Add("load_g,reading_counts,reading_u_counts,time_s\n,-18230,20,0\n100,60000,20,60\n", uint8(0))
	f.Add("height_mm;reading_mm;reading_u_mm\n120;98,7;0,1\n240;217,3;0,1\n", uint8(1))
	f.Add("load_g,length_mm\n100 g +- 0.1 g,158.5 mm +- 0.3 mm\n", uint8(2))
	f.Add("\ufeffload_g,period_s\n\"100\",0.4\n", uint8(2))
	f.Add("piece,mass_g\nA,1", uint8(3))
	f.Fuzz(func(t *testing.T, text string, kind uint8) {
		kinds := Kinds()
		table, err := parseTable(strings.NewReader(text), kinds[int(kind)%len(kinds)])
		if err != nil {
			return
		}
		for i, p := range table.Points {
			for _, v := range []float64{p.At, p.Reading.Value, p.Reading.U} {
				if math.IsNaN(v) || math.IsInf(v, 0) {
					t.Fatalf("point %d: %+v of %q", i+1, p, text)
				}
			}
			if p.Reading.U < 0 {
				t.Fatalf("point %d has a negative uncertainty: %+v", i+1, p)
			}
		}
	})
}

// Whatever stands in the file of check masses, pieces made of it can be.
func FuzzPieces(f *testing.F) {
	f.Add("piece,mass_g,mass_u_g,material,compared_with\nA,100.02,0.02,brass,set\nC,49.99,0.02,,\n")
	f.Add("piece;mass_g;mass_u_g;density_kg_m3;density_u_kg_m3;conventional\nA;100,02;0,02;8400;100;no\n")
	f.Add("piece,mass_g,mass_u_g\nA,NaN,1\nB,1e999,0\n")
	f.Fuzz(func(t *testing.T, text string) {
		pieces, err := parsePieces(strings.NewReader(text))
		if err != nil {
			return
		}
		for _, p := range pieces {
			if v := p.Mass.Value; math.IsNaN(v) || math.IsInf(v, 0) || !(v > 0) || !(p.Mass.U >= 0) || math.IsInf(p.Mass.U, 0) || !(p.Density.Value > 0) {
				t.Fatalf("a piece that cannot be: %+v of %q", p, text)
			}
		}
	})
}
