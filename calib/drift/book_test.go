package drift

import (
	"bytes"
	"errors"
	"io/fs"
	"os"
	"testing"
)

func folder(t *testing.T) *os.Root {
	t.Helper()
	dir, err := os.OpenRoot(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { dir.Close() })
	return dir
}

func content(t *testing.T, dir *os.Root, name string) []byte {
	t.Helper()
	b, err := dir.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

const name = "checks_N.csv"

// A book only grows: whatever is added or refused, what was in it stays at its head.
func TestBookOnlyGrows(t *testing.T) {
	dir := folder(t)
	if _, err := Load(dir, name); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no book: %v", err)
	}
	var before []byte
	for i := range 5 {
		if err := Append(dir, name, Newtons, massRecord(float64(i), 0.001*float64(i), 0.0001)); err != nil {
			t.Fatal(err)
		}
		now := content(t, dir, name)
		if !bytes.HasPrefix(now, before) || len(now) <= len(before) {
			t.Errorf("after record %d the book reads\n%s", i+1, now)
		}
		before = now
	}
	bad := massRecord(9, 0, 0)
	bad.Readings = 0
	refused(t, Append(dir, name, Newtons, massRecord(3.9, 0, 0)), name, "2026-03-06", "older")
	refused(t, Append(dir, name, Metres, massRecord(9, 0, 0)), "in N", "in m")
	refused(t, Append(dir, name, Newtons, bad), "readings")
	refused(t, Append(dir, "other.csv", "kg", massRecord(9, 0, 0)), "kg")
	if _, err := dir.Stat("other.csv"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a refused record began a book: %v", err)
	}
	if now := content(t, dir, name); !bytes.Equal(now, before) {
		t.Errorf("refused records changed the book to\n%s", now)
	}
	h, err := Load(dir, name)
	if err != nil || len(h.Records) != 5 || h.Records[4].Indication.Value != 1.962+0.004 {
		t.Errorf("%+v, %v", h, err)
	}
}

// A torn last line stops all adding until it is cut off, and what is cut is kept.
func TestTornBookIsMended(t *testing.T) {
	dir := folder(t)
	for i := range 3 {
		if err := Append(dir, name, Newtons, massRecord(float64(i), 0, 0.0001)); err != nil {
			t.Fatal(err)
		}
	}
	torn := content(t, dir, name)
	torn = torn[:len(torn)-5]
	if err := dir.WriteFile(name, torn, 0o644); err != nil {
		t.Fatal(err)
	}
	err := Append(dir, name, Newtons, massRecord(9, 0, 0))
	if !errors.Is(err, ErrTorn) {
		t.Errorf("added to a torn book: %v", err)
	}
	if now := content(t, dir, name); !bytes.Equal(now, torn) {
		t.Errorf("a refusal changed the torn book to\n%s", now)
	}
	h, err := Load(dir, name)
	if !errors.Is(err, ErrTorn) || len(h.Records) != 2 {
		t.Errorf("%d records, %v; want 2 and a word about the third", len(h.Records), err)
	}
	cut, err := Mend(dir, name)
	if err != nil || cut == 0 {
		t.Fatalf("cut %d, %v", cut, err)
	}
	kept := content(t, dir, name+".torn")
	if mended := content(t, dir, name); !bytes.Equal(append(mended, kept...), append(torn, '\n')) {
		t.Errorf("mended to\n%skept\n%s", mended, kept)
	}
	if cut, err := Mend(dir, name); cut != 0 || err != nil {
		t.Errorf("a whole book is mended: %d, %v", cut, err)
	}
	if err := Append(dir, name, Newtons, massRecord(9, 0, 0)); err != nil {
		t.Error(err)
	}
}

// A header cut short is mended to an empty book, which then begins anew.
func TestTornHeader(t *testing.T) {
	dir := folder(t)
	if err := dir.WriteFile(name, []byte("time_utc,wh"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := Append(dir, name, Newtons, massRecord(0, 0, 0)); !errors.Is(err, ErrTorn) {
		t.Errorf("added behind a torn header: %v", err)
	}
	if _, err := Mend(dir, name); err != nil {
		t.Fatal(err)
	}
	if err := Append(dir, name, Newtons, massRecord(0, 0, 0)); err != nil {
		t.Fatal(err)
	}
	if h, err := Load(dir, name); err != nil || len(h.Records) != 1 {
		t.Errorf("%+v, %v", h, err)
	}
}
