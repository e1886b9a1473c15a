package runfile

import (
	"flag"
	"fmt"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"joulewell/daq/frame"
)

var update = flag.Bool("update", false, "write the table of columns into README.md anew")

// section returns what stands between <!-- name --> and <!-- /name -->, and where.
func section(t *testing.T, text, name string) (start, end int) {
	t.Helper()
	start = strings.Index(text, "<!-- "+name+" -->\n")
	end = strings.Index(text, "<!-- /"+name+" -->")
	if start < 0 || end < start {
		t.Fatalf("README.md has no section %s", name)
	}
	return start + len("<!-- "+name+" -->\n"), end
}

func readme(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

func TestReadmeColumns(t *testing.T) {
	var want strings.Builder
	want.WriteString("| column | always? | type | unit (UCUM) | digits after the point | meaning |\n| --- | --- | --- | --- | --- | --- |\n")
	digits := map[string]string{timeName: "9"}
	for _, c := range frame.Columns() {
		digits[c.Name] = "as needed"
		if c.Decimals >= 0 {
			digits[c.Name] = fmt.Sprint(c.Decimals)
		}
	}
	for _, c := range currentSchema().Columns {
		always := "no"
		if c.Required {
			always = "yes"
		}
		title, _, _ := strings.Cut(c.Description, " [")
		fmt.Fprintf(&want, "| `%s` | %s | %s | %s | %s | %s |\n", c.Name, always, c.Datatype.Base, c.Unit, digits[c.Name], title)
	}
	text := readme(t)
	start, end := section(t, text, "columns")
	if text[start:end] == want.String() {
		return
	}
	if !*update {
		t.Fatalf("the table of columns has changed; run go test -update. It must be:\n%s", want.String())
	}
	if err := os.WriteFile("README.md", []byte(text[:start]+want.String()+text[end:]), 0o644); err != nil {
		t.Fatal(err)
	}
}

// The example reads, and is what this program writes.
func TestReadmeRows(t *testing.T) {
	text := readme(t)
	start, end := section(t, text, "rows")
	table := strings.TrimSuffix(strings.TrimPrefix(text[start:end], "```csv\n"), "```\n")
	rows, err := readText([]byte(table))
	if err != nil || len(rows) != 3 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	again := AppendHeader(nil)
	for i := range rows {
		again = AppendRow(again, &rows[i])
	}
	if string(again) != table {
		t.Errorf("written again:\n%s", again)
	}
	if e := rows[0].Energies; math.Abs(e.Kinetic.Value+e.Elastic.Value+e.Gravitational.Value-e.Total.Value) > 2e-7 {
		t.Errorf("the example's energies do not add up: %+v", e)
	}
}

// Each property of ours is in the table, and none that we do not have.
func TestReadmeProperties(t *testing.T) {
	const ours = "https://joulewell.example/ns#"
	text := readme(t)
	_, list, _ := strings.Cut(text, "| property |")
	list, _, _ = strings.Cut(list, "\n\n")
	want := map[string]bool{}
	for _, typ := range []reflect.Type{reflect.TypeFor[Meta](), reflect.TypeFor[Column]()} {
		for i := range typ.NumField() {
			tag, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
			if name, found := strings.CutPrefix(tag, ours); found {
				want[name] = true
			}
		}
	}
	for _, line := range strings.Split(list, "\n")[2:] {
		name, _, _ := strings.Cut(strings.TrimPrefix(line, "| `"), "`")
		if !want[name] {
			t.Errorf("README.md lists %s, which is not there", name)
		}
		delete(want, name)
	}
	for name := range want {
		t.Errorf("README.md does not list %s", name)
	}
}

// The flags' words are all explained.
func TestReadmeFlags(t *testing.T) {
	text := readme(t)
	all := frame.Gap | frame.Outlier | frame.NoEcho | frame.NoMotion | frame.OutOfRange | frame.NewEpoch
	for _, word := range strings.Fields(string(all.Words(nil))) {
		if !strings.Contains(text, "`"+word+"`") {
			t.Errorf("README.md does not explain %s", word)
		}
	}
}
