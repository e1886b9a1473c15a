package wire

import (
	"os"
	"strings"
	"testing"
)

func readme(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// tableRows returns the first cell of each row of the table under the heading,
// without its quotes.
func tableRows(t *testing.T, text, heading string) []string {
	t.Helper()
	_, section, ok := strings.Cut(text, "\n## "+heading+"\n")
	if !ok {
		t.Fatalf("README.md has no part %q", heading)
	}
	section, _, _ = strings.Cut(section, "\n## ")
	var cells []string
	for line := range strings.Lines(section) {
		if cell, found := strings.CutPrefix(line, "| `"); found {
			cell, _, _ = strings.Cut(cell, "`")
			cells = append(cells, cell)
		}
	}
	return cells
}

func TestReadmeExample(t *testing.T) {
	_, example, _ := strings.Cut(readme(t), "```\n")
	example, _, _ = strings.Cut(example, "```")
	d := newDecoder(t, Options{RequireChecksum: true})
	var s Splitter
	var got []Reading
	s.Feed([]byte(example))
	for line, _, ok := s.Next(); ok; line, _, ok = s.Next() {
		var r Reading
		if d.Decode(line, &r) == Data {
			got = append(got, r)
		}
	}
	if n := d.Counts(); n.Lines() != 4 || n.Notes != 1 || n.FieldLines != 1 || n.Accepted != 2 || !d.Virtual() {
		t.Fatalf("counts of the example: %+v, last reason %s", n, d.LastReason())
	}
	want := []Reading{
		reading(1042, 5210034, map[Column]float64{Seq: 1042, EchoUs: 3171, LoadCounts: -184223, AirCentiC: 2140}),
		reading(1043, 5222540, map[Column]float64{Seq: 1043, LoadCounts: -184301}),
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("reading %d: %+v, want %+v", i, got[i], want[i])
		}
	}
}

func TestReadmeColumns(t *testing.T) {
	var want []string
	for _, c := range Columns() {
		want = append(want, ColumnName(c))
	}
	if got := tableRows(t, readme(t), "Columns"); strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("README.md has the columns %q, the package %q", got, want)
	}
}

func TestReadmeReasons(t *testing.T) {
	var want []string
	for r := NoReason + 1; r < ReasonCount; r++ {
		want = append(want, r.String())
	}
	if got := tableRows(t, readme(t), "Refused lines"); strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("README.md has the words %q, the package %q", got, want)
	}
}
