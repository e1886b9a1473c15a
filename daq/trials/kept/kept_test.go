package kept_test

import (
	"errors"
	"io/fs"
	"os"
	"reflect"
	"testing"
	"time"

	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/energy"
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

func example(run string, day int) kept.Kept {
	return kept.Kept{
		Version: 1, Run: run, Created: time.Date(2026, 11, day, 18, 0, 0, 0, time.UTC), Group: "bay window, two",
		Trials: []trials.Row{{
			Run: run + ".csv", Bench: "Tamar", Counts: true, Release: 0.25,
			FirstLoss: &energy.Estimate{Value: 1.5e-3, U: 2e-4},
			Findings:  []trials.Finding{{Fault: trials.Sway, Sentence: "a little"}},
		}},
	}
}

// What is kept is read as it was written, and a later word replaces an earlier one.
func TestKeptIsRead(t *testing.T) {
	dir := folder(t)
	want := example("2026-11-25T180000Z-tamar", 25)
	for _, group := range []string{"first", "second"} {
		want.Group = group
		if err := kept.Write(dir, want); err != nil {
			t.Fatal(err)
		}
	}
	got, err := kept.Read(dir, want.Run)
	if err != nil || !reflect.DeepEqual(got, want) {
		t.Errorf("read %+v (%v), want %+v", got, err, want)
	}
	entries, _ := fs.ReadDir(dir.FS(), ".")
	if len(entries) != 1 {
		t.Errorf("%d files lie in the folder, want 1", len(entries))
	}
}

func TestNothingKept(t *testing.T) {
	if _, err := kept.Read(folder(t), "none"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("error %v, want one of nothing there", err)
	}
}

// A spoiled file is told, and the others are read, the oldest first.
func TestListAmongSpoiledFiles(t *testing.T) {
	dir := folder(t)
	for _, k := range []kept.Kept{example("b", 20), example("a", 24), example("odd name, with 'signs' ü", 22)} {
		if err := kept.Write(dir, k); err != nil {
			t.Fatal(err)
		}
	}
	for name, text := range map[string]string{"torn.trials.json": `{"version":1,`, "later.trials.json": `{"version":9}`, "note.json": "x"} {
		if err := dir.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	all, faults := kept.List(dir)
	var runs []string
	for _, k := range all {
		runs = append(runs, k.Run)
	}
	if want := []string{"b", "odd name, with 'signs' ü", "a"}; !reflect.DeepEqual(runs, want) {
		t.Errorf("runs %q, want %q", runs, want)
	}
	if len(faults) != 2 {
		t.Errorf("faults %v, want two", faults)
	}
}
