package figure

import (
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
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
