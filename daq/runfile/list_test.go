package runfile

import (
	"errors"
	"strings"
	"testing"
	"time"
)

func TestList(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	day := time.Date(2026, 11, 25, 18, 0, 0, 0, time.UTC)
	record := func(name string, m Meta, rows int) {
		rec, err := Create(dir, name, m, Options{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range rows {
			rec.Append(swing(i))
		}
		if err := rec.Close(m); err != nil {
			t.Fatal(err)
		}
	}
	first := Meta{Created: day, Note: "S-4, brass bob", Virtual: true}
	first.Setup.Name = "Tamar"
	record("first", first, 11)
	record("été, 2 (copy)", Meta{Created: day.Add(time.Hour)}, 1)
	record("same-hour", Meta{Created: day.Add(time.Hour)}, 1)
	put(t, dir, "bare.csv", table(2))
	put(t, dir, "foreign.csv", []byte("a,b\n1,2\n"))
	put(t, dir, "blank.csv", nil)
	put(t, dir, "spoilt.csv", table(2))
	put(t, dir, "spoilt.csv-metadata.json", []byte("{"))
	put(t, dir, "notes.txt", []byte("x"))
	put(t, dir, ".csv", table(1))
	if err := dir.Mkdir("folder.csv", 0o755); err != nil {
		t.Fatal(err)
	}
	if err := dir.Symlink("bare.csv", "link.csv"); err != nil {
		t.Fatal(err)
	}
	old := day.Add(-time.Hour)
	for i, name := range []string{"bare.csv", "spoilt.csv", ".csv"} {
		at := old.Add(-time.Duration(i) * time.Hour)
		if err := dir.Chtimes(name, at, at); err != nil {
			t.Fatal(err)
		}
	}
	live, err := Create(dir, "live", Meta{Created: day.Add(2 * time.Hour)}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer live.Close(Meta{})

	got, err := List(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, i := range got {
		names = append(names, i.Name)
	}
	if want := "été, 2 (copy)|same-hour|first|bare|spoilt|"; strings.Join(names, "|") != want {
		t.Fatalf("%q, want %q", strings.Join(names, "|"), want)
	}
	f := got[2]
	size := int64(len(content(t, dir, "first.csv")))
	want := Info{Name: "first", File: "first.csv", MetaFile: "first.csv-metadata.json", Size: size, Title: "first", Bench: "Tamar",
		Created: day, Rows: 11, Length: 0.010, Complete: true, Virtual: true, Note: "S-4, brass bob"}
	if f != want {
		t.Errorf("%+v, want %+v", f, want)
	}
	if b := got[3]; b.MetaFile != "" || !strings.Contains(b.Trouble, "no description") || b.Complete {
		t.Errorf("without description: %+v", b)
	}
	if s := got[4]; !strings.Contains(s.Trouble, "spoilt.csv-metadata.json") {
		t.Errorf("with a spoilt description: %+v", s)
	}
}

func TestOpenNamed(t *testing.T) {
	path := t.TempDir()
	outer := openRoot(t, path)
	if err := outer.Mkdir("runs", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, outer, "secret.csv", table(1))
	dir := openRoot(t, path+"/runs")
	put(t, dir, "run.csv", table(2))
	if err := dir.Symlink("../secret.csv", "link.csv"); err != nil {
		t.Fatal(err)
	}
	r, err := OpenNamed(dir, "run")
	if err != nil {
		t.Fatal(err)
	}
	if rows, err := r.ReadAll(); err != nil || len(rows) != 2 {
		t.Errorf("%d rows, %v", len(rows), err)
	}
	if err := r.Close(); err != nil {
		t.Error(err)
	}
	for _, name := range []string{"../secret", path + "/secret", "", ".", "link", "run.csv", "./run", "RUN", "run\x00"} {
		if r, err := OpenNamed(dir, name); !errors.Is(err, ErrNoRun) {
			t.Errorf("%q: %v, %v", name, r, err)
		}
	}
}
