// Package proof makes run files for tests: those of the recordings in testdata, described
// as the bench describes what it records.
package proof

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"joulewell/daq/runfile"
	"joulewell/daq/virtual"
)

// Record writes the frames of a recording, the path of whose folder is given, into dir as
// the run called name. What its metadata say may be changed first.
func Record(t testing.TB, dir, name, recording string, change func(*runfile.Meta)) {
	t.Helper()
	rows, err := os.Open(filepath.Join(recording, "frames.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	reader, err := runfile.NewReader(recording, rows)
	if err != nil {
		t.Fatal(err)
	}
	frames, err := reader.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	meta := runfile.Meta{
		Created: time.Date(2026, 11, 25, 18, 42, 10, 0, time.UTC), Setup: virtual.Setup(virtual.Default()),
		Source: "virtual bench Tamar, seed 7", Virtual: true, Software: "joulewell test", Note: "first drop of the evening",
	}
	if change != nil {
		change(&meta)
	}
	recorder, err := runfile.Create(root, name, meta, runfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range frames {
		recorder.Append(&frames[i])
	}
	if err := recorder.Close(meta); err != nil {
		t.Fatal(err)
	}
}
