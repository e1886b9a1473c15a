package frame

import (
	"math"
	"strings"
	"testing"

	"joulewell/daq/wire"
	"joulewell/energy"
)

func TestFlagsSurviveTheirWords(t *testing.T) {
	for f := range Flags(1 << len(flagWords)) {
		words := string(f.Words(nil))
		if got, ok := ParseFlags(words); !ok || got != f {
			t.Errorf("flags %b: words %q, read back as %b", f, words, got)
		}
	}
	for _, bad := range []string{"gap  outlier", "gone", "gap outlier x", "Gap"} {
		if f, ok := ParseFlags(bad); ok {
			t.Errorf("ParseFlags(%q) = %b, want a refusal", bad, f)
		}
	}
}

// Every column reads its own quantity and nothing else; names are unique and end in
// their unit.
func TestColumnsReadWhatTheyName(t *testing.T) {
	endings := map[string]string{"us": "_us", "mm": "_mm", "N": "_N", "cCel": "_centi_C", "%": "_pct", "m": "_m", "m/s": "_m_s", "J": "_J"}
	seen := map[string]bool{}
	for i, c := range Columns() {
		if seen[c.Name] {
			t.Errorf("column %s stands twice", c.Name)
		}
		seen[c.Name] = true
		if end, ok := endings[c.Unit]; c.Unit != "" && (!ok || !strings.HasSuffix(c.Name, end)) {
			t.Errorf("column %s has unit %q", c.Name, c.Unit)
		}
		f := empty()
		if got := c.Of(&f); !math.IsNaN(got) {
			t.Errorf("column %s of an empty frame = %g", c.Name, got)
		}
		fill(&f)
		if got := c.Of(&f); got != float64(i) {
			t.Errorf("column %s reads quantity %g, want %d", c.Name, got, i)
		}
	}
}

func empty() Frame {
	return Frame{
		Distance: energy.None(), Force: energy.None(), Height: energy.None(), Extension: energy.None(),
		Velocity: energy.None(), Energies: energy.NoEnergies(),
	}
}

// fill gives every quantity of a frame the number of its column.
func fill(f *Frame) {
	for n := range int(wire.ColumnCount - wire.EchoUs) {
		f.Reading.Set(wire.EchoUs+wire.Column(n), float64(n))
	}
	n := float64(wire.ColumnCount - wire.EchoUs)
	for _, e := range []*energy.Estimate{&f.Distance, &f.Force, &f.Extension, &f.Height, &f.Velocity} {
		e.Value, n = n, n+1
	}
	four := []*energy.Estimate{&f.Energies.Kinetic, &f.Energies.Elastic, &f.Energies.Gravitational, &f.Energies.Total}
	for _, e := range four {
		e.Value, n = n, n+1
	}
	for _, e := range four {
		e.U, n = n, n+1
	}
}
