package runfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"joulewell/daq/frame"
)

func readText(text []byte) ([]frame.Frame, error) {
	r, err := NewReader("tamar.csv", bytes.NewReader(text))
	if err != nil {
		return nil, err
	}
	return r.ReadAll()
}

func TestReadAll(t *testing.T) {
	got, err := readText(table(5))
	if err != nil || len(got) != 5 {
		t.Fatalf("%d rows, %v", len(got), err)
	}
	for i := range got {
		if !sameRaw(swing(i), &got[i]) {
			t.Errorf("row %d: %+v", i, got[i])
		}
	}
}

// Other programs may change the dress of a table without changing what it says.
func TestReadForeignDress(t *testing.T) {
	want := table(3)
	records := fields(t, want)
	reversed, wider := slices.Clone(records), slices.Clone(records)
	for i, row := range records {
		reversed[i] = slices.Clone(row)
		slices.Reverse(reversed[i])
		wider[i] = append([]string{"remark, made later"}, row...)
	}
	write := func(rows [][]string) []byte {
		var text bytes.Buffer
		w := csv.NewWriter(&text)
		if err := w.WriteAll(rows); err != nil {
			t.Fatal(err)
		}
		return text.Bytes()
	}
	quoted := []byte(strings.ReplaceAll(strings.ReplaceAll(string(want), ",", `","`), "\n", "\"\n\""))
	quoted = append([]byte(`"`), quoted[:len(quoted)-1]...)
	for name, text := range map[string][]byte{
		"columns in another order":  write(reversed),
		"one more column":           write(wider),
		"CR LF":                     bytes.ReplaceAll(want, []byte("\n"), []byte("\r\n")),
		"byte order mark":           append([]byte("\uFEFF"), want...),
		"every field quoted":        quoted,
		"last line without its end": want[:len(want)-1],
		"without a derived column":  withoutColumn(t, want, "kinetic_J"),
	} {
		got, err := readText(text)
		if err != nil || len(got) != 3 {
			t.Errorf("%s: %d rows, %v", name, len(got), err)
			continue
		}
		for i := range got {
			if !sameRaw(swing(i), &got[i]) {
				t.Errorf("%s: row %d: %+v", name, i, got[i])
			}
		}
	}
}

func withoutColumn(t *testing.T, text []byte, name string) []byte {
	records := fields(t, text)
	at := slices.Index(records[0], name)
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	for _, row := range records {
		w.Write(slices.Delete(slices.Clone(row), at, at+1))
	}
	w.Flush()
	return out.Bytes()
}

func TestReadRefusals(t *testing.T) {
	good := string(table(2))
	header, rows, _ := strings.Cut(good, "\n")
	row1, row2, _ := strings.Cut(strings.TrimSuffix(rows, "\n"), "\n")
	for name, c := range map[string]struct {
		text    string
		foreign bool
		want    string
	}{
		"empty":                 {"", true, "it is empty"},
		"another table":         {"a,b,c\n1,2,3\n", true, "no column time_s"},
		"semicolons":            {strings.ReplaceAll(good, ",", ";"), true, "no column time_s"},
		"no header":             {rows, true, "no column time_s"},
		"binary":                {"\x89PNG\r\n\x1a\n\x00\x00", true, "no column time_s"},
		"raw column missing":    {string(withoutColumn(t, []byte(good), "raw_load_counts")), true, "no column raw_load_counts"},
		"flags missing":         {string(withoutColumn(t, []byte(good), "flags")), true, "no column flags"},
		"column twice":          {header + ",seq\n" + row1 + ",1\n", false, "line 1: seq is there twice"},
		"quote left open":       {"\"" + good, true, "must begin and end on one line"},
		"row cut off":           {header + "\n" + row1 + "\n" + row2[:40], false, "line 3: "},
		"row too long":          {header + "\n" + row1 + ",1\n", false, "line 2: 29 fields: must be 28"},
		"two rows glued":        {header + "\n" + row1 + row2 + "\n", false, "line 2: 55 fields: must be 28"},
		"blank line":            {header + "\n\n" + row1 + "\n", false, "line 2: 1 fields"},
		"word for a number":     {strings.Replace(good, "0.593700", "wide", 1), false, `line 2: distance_m = "wide": must be a decimal number`},
		"NaN":                   {strings.Replace(good, "0.593700", "NaN", 1), false, `line 2: distance_m = "NaN"`},
		"unknown flag":          {header + "\n" + row1 + "odd\n", false, `line 2: flags = "odd"`},
		"endless line":          {header + "\n" + strings.Repeat("1", maxLine+1), false, "line 2: longer than"},
		"endless header":        {strings.Repeat("time_s,", maxLine), false, "line 1: longer than"},
		"quoted, row too short": {header + "\n" + `"1",2` + "\n", false, "line 2: 2 fields"},
		"quoted, row too long":  {header + "\n" + row1 + `,""` + "\n", false, "line 2: 29 fields"},
		"quoted field in half":  {header + "\n" + `"` + row1 + "\n", false, "line 2: "},
	} {
		_, err := readText([]byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) || errors.Is(err, ErrForeign) != c.foreign {
			t.Errorf("%s: %v, want %q, foreign %v", name, err, c.want, c.foreign)
		}
		if err != nil && (!strings.HasPrefix(err.Error(), "read tamar.csv: ") || len(err.Error()) > 250) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestOpen(t *testing.T) {
	path := filepath.Join(t.TempDir(), "run.csv")
	if err := os.WriteFile(path, table(2), 0o644); err != nil {
		t.Fatal(err)
	}
	r, err := Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	if r.Meta() != nil {
		t.Errorf("a description out of nothing: %+v", r.Meta())
	}
	var f frame.Frame
	for range 2 {
		if err := r.Next(&f); err != nil {
			t.Fatal(err)
		}
	}
	if err := r.Next(&f); err != io.EOF {
		t.Errorf("after the last row: %v", err)
	}
}

func TestOpenWithBrokenDescription(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	put(t, dir, "run.csv", table(2))
	for _, text := range []string{"{", "[]", `{"@context":"elsewhere"}`, `{"@context":"http://www.w3.org/ns/csvw"}`} {
		put(t, dir, "run.csv-metadata.json", []byte(text))
		_, err := Open(filepath.Join(dir.Name(), "run.csv"))
		if err == nil || !strings.Contains(err.Error(), "run.csv-metadata.json") || !strings.Contains(err.Error(), "move it away") {
			t.Errorf("description %s: %v", text, err)
		}
	}
}

// Whatever is read is written again with the same raw columns, and then reads the same.
func FuzzRead(f *testing.F) {
	f.Add(table(3))
	f.Add(bytes.ReplaceAll(table(2), []byte("\n"), []byte("\r\n")))
	f.Add([]byte("a;b\n1;2\n"))
	f.Add([]byte("\uFEFF\"time_s\",epoch\n"))
	f.Add(bytes.Replace(table(2), []byte("0.593700"), []byte(`"1e-320"`), 1))
	f.Fuzz(func(t *testing.T, text []byte) {
		got, err := readText(text)
		again := AppendHeader(nil)
		for i := range got {
			again = AppendRow(again, &got[i])
		}
		if len(got) == 0 {
			return
		}
		back, err2 := readText(again)
		if err2 != nil || len(back) != len(got) {
			t.Fatalf("%d rows read (%v), %d of them again: %v", len(got), err, len(back), err2)
		}
		for i := range got {
			if !sameRaw(&got[i], &back[i]) {
				t.Fatalf("row %d: %+v became %+v", i, got[i], back[i])
			}
		}
	})
}
