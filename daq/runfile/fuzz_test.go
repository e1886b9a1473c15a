package runfile

import (
	"bytes"
	"testing"
)

// Whatever is taken for a description is written again as one that says the same.
func FuzzMeta(f *testing.F) {
	m := Meta{Note: "S-4 \"with\" the brass bob\x00", UnknownColumns: []string{"a", ""}}.describe("2026-11-25T184210Z-tamar")
	text, err := m.encode()
	if err != nil {
		f.Fatal(err)
	}
	f.Add(text)
	f.Add(bytes.Replace(text, []byte(`"rate_N_per_m"`), []byte(`"RATE_n_per_m"`), 1))
	f.Add([]byte(`{"@context":"http://www.w3.org/ns/csvw","tableSchema":{"columns":[{}]},"dc:created":"0000-01-01T00:00:00Z"}`))
	f.Add([]byte(`{"@context":"http://www.w3.org/ns/csvw","tableSchema":{"columns":null}}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		m, err := decodeMeta(text)
		if err != nil {
			return
		}
		once, err := m.encode()
		if err != nil {
			t.Fatalf("a description that was read cannot be written: %v", err)
		}
		again, err := decodeMeta(once)
		if err != nil {
			t.Fatalf("what was written is no description: %v\n%s", err, once)
		}
		if twice, err := again.encode(); err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("%v: written once\n%s\nand twice\n%s", err, once, twice)
		}
	})
}
