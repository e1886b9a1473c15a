package figure

import (
	"encoding/xml"
	"errors"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"joulewell/daq/analysis"
	"joulewell/daq/frame"
	"joulewell/daq/virtual"
)

// rows of a run in memory.
type rows []frame.Frame

func (r *rows) Next(f *frame.Frame) error {
	if len(*r) == 0 {
		return io.EOF
	}
	*f, *r = (*r)[0], (*r)[1:]
	return nil
}

// run is a drop on the default bench, worked out.
func run(t *testing.T, c virtual.Config) *analysis.Run {
	t.Helper()
	c.Spring.Coils = 12 // as good as forty for a look, and ten times as fast
	device, err := virtual.New(c)
	if err != nil {
		t.Fatal(err)
	}
	var all rows
	device.Watch(func(s *virtual.Sample) {
		all = append(all, frame.Frame{T: s.At, Epoch: uint32(s.Boot), Reading: s.Reading})
	})
	for len(all) == 0 || all[len(all)-1].T < 12e9 {
		device.Next()
	}
	b := virtual.Setup(c)
	r, err := analysis.Analyse(&all, &b, analysis.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// texts returns the words in a figure and refuses one that is no XML.
func texts(t *testing.T, path string) string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var words []string
	for d := xml.NewDecoder(f); ; {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return strings.Join(words, "|")
		}
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		switch token := token.(type) {
		case xml.CharData:
			if s := strings.TrimSpace(string(token)); s != "" {
				words = append(words, s)
			}
		case xml.StartElement:
			for _, a := range token.Attr {
				if strings.Contains(a.Value, "NaN") || strings.Contains(a.Value, "Inf") {
					t.Fatalf("%s: %s = %q", path, a.Name.Local, a.Value)
				}
			}
		}
	}
}

func TestFiguresHoldWhatTheyPromise(t *testing.T) {
	c := virtual.Default()
	c.Hand.Period, c.Ranger.Outliers, c.Seed = 0, 0.02, 6
	r := run(t, c)
	dir := filepath.Join(t.TempDir(), "figures")
	if err := Write(dir, "tamar.csv", r); err != nil {
		t.Fatal(err)
	}
	for kind, want := range map[string]string{
		"energies":  "time / s|energy / mJ|kinetic|elastic|gravitational|total",
		"ledger":    "energy / mJ; bars k = 2|lost|in no account|What left the swing in each cycle",
		"loop":      "force / N|extension / mm|first cycle|last cycle|force less its line / mN",
		"residuals": "residual / mm|used|set aside",
	} {
		path := filepath.Join(dir, "tamar-swing-1-"+kind+".svg")
		have := texts(t, path)
		for _, w := range strings.Split(want, "|") {
			if !strings.Contains("|"+have+"|", "|"+w+"|") {
				t.Errorf("%s does not say %q: %s", kind, w, have)
			}
		}
	}
	// What is drawn does not depend on when.
	first, err := os.ReadFile(filepath.Join(dir, "tamar-swing-1-energies.svg"))
	if err != nil {
		t.Fatal(err)
	}
	if err := Write(dir, "tamar.csv", r); err != nil {
		t.Fatal(err)
	}
	if again, _ := os.ReadFile(filepath.Join(dir, "tamar-swing-1-energies.svg")); string(again) != string(first) {
		t.Error("drawn once more, a figure differs")
	}
	for _, colour := range []string{"#004488", "#D55E00", "#009988", "#1A1A1A"} {
		if !strings.Contains(string(first), colour) {
			t.Errorf("energies have no line of colour %s", colour)
		}
	}
	for _, colour := range []string{"#D55E00", "#009988"} {
		if !regexp.MustCompile(`stroke:` + colour + `[^"]*stroke-dasharray`).Match(first) {
			t.Errorf("the line of colour %s is told apart by its colour alone", colour)
		}
	}
}

// Without a force there is no loop, and without a folder no figure.
func TestFiguresThatCannotBe(t *testing.T) {
	c := virtual.Default()
	c.Hand.Period = 0
	r := run(t, c)
	r.Swings[0].Loops = nil
	dir := t.TempDir()
	if err := Write(dir, "tamar.csv", r); err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "tamar-swing-1-loop.svg")); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("a figure of no loop: %v", err)
	}
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Write(file, "tamar.csv", r); err == nil {
		t.Error("figures went into a file")
	}
}

func TestTicksAreRoundAndFew(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      string
	}{
		{0, 10, "0 2 4 6 8 10"},
		{1.02, 4.48, "1.5 2.0 2.5 3.0 3.5 4.0"},
		{-4.1, 4.1, "-4 -2 0 2 4"},
		{0.0012, 0.0049, "0.0015 0.0020 0.0025 0.0030 0.0035 0.0040 0.0045"},
		{5, 5, ""},
	} {
		var have []string
		for _, k := range (ticks{}).Ticks(c.low, c.high) {
			have = append(have, k.Label)
		}
		if got := strings.Join(have, " "); got != c.want {
			t.Errorf("from %g to %g: %q, want %q", c.low, c.high, got, c.want)
		}
	}
}

// What is left of many points holds the ends and every extreme.
func TestThinKeepsExtremes(t *testing.T) {
	y := make([]float64, 10_000)
	for i := range y {
		y[i] = math.Sin(float64(i) / 300)
	}
	peaks := map[int]float64{17: 9, 18: -9, 5555: 30, 9998: -40}
	for i, v := range peaks {
		y[i] = v
	}
	kept := thin(len(y), 400, func(i int) float64 { return y[i] })
	if len(kept) > 400 || !slices.IsSorted(kept) || len(slices.Compact(slices.Clone(kept))) != len(kept) {
		t.Errorf("%d points, in order %v", len(kept), slices.IsSorted(kept))
	}
	for i := range peaks {
		if !slices.Contains(kept, i) {
			t.Errorf("point %d, %g, is gone", i, y[i])
		}
	}
	if kept[0] != 0 || kept[len(kept)-1] != len(y)-1 {
		t.Error("the ends are gone")
	}
	for n := range 9 {
		if few := thin(n, 8, func(int) float64 { return 0 }); n <= 8 && len(few) != n {
			t.Errorf("%d of %d points", len(few), n)
		}
	}
}

// Two figures on one page share no id, and each says what it shows.
func TestInlineFiguresKeepApart(t *testing.T) {
	c := virtual.Default()
	c.Hand.Period = 0
	r := run(t, c)
	drawn, err := Draw(&r.Swings[0])
	if err != nil {
		t.Fatal(err)
	}
	if len(drawn) != len(kinds) {
		t.Fatalf("%d figures", len(drawn))
	}
	seen := map[string]bool{}
	for i := range drawn {
		text := string(drawn[i].Inline("figure-" + drawn[i].Kind))
		if !strings.HasPrefix(text, "<svg ") || !strings.HasSuffix(text, "</svg>\n") {
			t.Errorf("%s is no element: %.40q", drawn[i].Kind, text)
		}
		for _, m := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(text, -1) {
			if seen[m[1]] {
				t.Errorf("id %s is there twice", m[1])
			}
			seen[m[1]] = true
		}
		for _, m := range regexp.MustCompile(`(?:aria-labelledby="|url\(#)([^")]*)`).FindAllStringSubmatch(text, -1) {
			if !seen[m[1]] {
				t.Errorf("%s refers to %q, which is not there", drawn[i].Kind, m[1])
			}
		}
		if strings.Contains(text, "<?xml") || strings.Contains(text, "http") || strings.Contains(text, "font-family") {
			t.Errorf("%s is not fit for a page", drawn[i].Kind)
		}
		if len(text) > 60_000 {
			t.Errorf("%s takes %d bytes", drawn[i].Kind, len(text))
		}
	}
}
