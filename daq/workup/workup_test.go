package workup

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"joulewell/daq/analysis"
	"joulewell/daq/runfile"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/daq/workup/proof"
)

const drop = "../../testdata/recordings/tamar-drop"

// folder holds the run "tamar" of the recording of a drop.
func folder(t *testing.T, change func(*runfile.Meta)) *os.Root {
	t.Helper()
	dir := t.TempDir()
	proof.Record(t, dir, "tamar", drop, change)
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	return root
}

func TestWholeRunWithItsTrials(t *testing.T) {
	dir := folder(t, nil)
	r, err := Open(t.Context(), dir, "tamar", Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Whole.Swings) != 1 || len(r.Trials) != 1 || r.Kept || r.Trials[0].Run != "tamar.csv" || len(r.Notes) != 0 {
		t.Errorf("%d swings, %d trials, kept: %v, notes %q", len(r.Whole.Swings), len(r.Trials), r.Kept, r.Notes)
	}
	// The heights in frames.csv stay at 821 mm until 1.0 s, and have fallen to 772 mm at 1.11 s.
	if at := r.Trials[0].Release; at < 0.95 || at > 1.05 {
		t.Errorf("released at %g s", at)
	}
}

// What people said of trials, and the group that made them, counts before a new judgement.
func TestKeptTrialsCount(t *testing.T) {
	dir := folder(t, nil)
	row := trials.Row{Run: "tamar.csv", Release: 2.03, Overruled: true}
	if err := kept.Write(dir, kept.Kept{Run: "tamar", Group: "blue bench", Trials: []trials.Row{row}}); err != nil {
		t.Fatal(err)
	}
	r, err := Open(t.Context(), dir, "tamar", Options{})
	if err != nil || !r.Kept || r.Group != "blue bench" || len(r.Trials) != 1 || !r.Trials[0].Overruled {
		t.Errorf("%+v, %v", r, err)
	}
	if err := dir.WriteFile("tamar.trials.json", []byte("{"), 0o644); err != nil {
		t.Fatal(err)
	}
	r, err = Open(t.Context(), dir, "tamar", Options{})
	if err != nil || r.Kept || len(r.Trials) != 1 || len(r.Notes) != 1 || !strings.Contains(r.Notes[0], "tamar.trials.json") {
		t.Errorf("with a spoiled file: %+v, %v", r, err)
	}
}

func TestRefusals(t *testing.T) {
	rows := func(change func([]byte) []byte) func(*testing.T, *os.Root) {
		return func(t *testing.T, dir *os.Root) {
			path := filepath.Join(dir.Name(), "tamar.csv")
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, change(text), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	for name, c := range map[string]struct {
		spoil   func(*testing.T, *os.Root)
		options Options
		want    error
		says    string
	}{
		"no metadata": {func(t *testing.T, dir *os.Root) { dir.Remove("tamar.csv-metadata.json") }, Options{}, ErrBare, "metadata file is missing"},
		"foreign":     {rows(func([]byte) []byte { return []byte("date,rain_mm\n2026-11-25,4\n") }), Options{}, runfile.ErrForeign, "no column time_s"},
		"cut off in a line": {rows(func(b []byte) []byte { return b[:len(b)-40] }), Options{}, nil,
			"has the line been cut off?"},
		"cut off at a line": {rows(func(b []byte) []byte { return b[:bytes.LastIndexByte(b[:len(b)*3/4], '\n')+1] }), Options{}, ErrMissing, "its metadata file says"},
		"cut off before the drop": {rows(func(b []byte) []byte { return b[:bytes.LastIndexByte(b[:2000], '\n')+1] }), Options{}, ErrMissing,
			"fetch the file anew"},
		"too long": {nil, Options{MostRows: 100}, ErrLong, ""},
		"longer than it says": {func(t *testing.T, dir *os.Root) {
			meta, err := dir.ReadFile("tamar.csv-metadata.json")
			if err != nil {
				t.Fatal(err)
			}
			at := bytes.Index(meta, []byte(`ns#rows": `)) + len(`ns#rows": `)
			meta = append(append(bytes.Clone(meta[:at]), '9'), meta[at+bytes.IndexByte(meta[at:], ','):]...)
			if err := dir.WriteFile("tamar.csv-metadata.json", meta, 0o644); err != nil {
				t.Fatal(err)
			}
		}, Options{MostRows: 100}, ErrLong, "says fewer"},
		"no such run": {func(t *testing.T, dir *os.Root) { dir.Remove("tamar.csv") }, Options{}, runfile.ErrNoRun, "tamar"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := folder(t, nil)
			if c.spoil != nil {
				c.spoil(t, dir)
			}
			_, err := Open(t.Context(), dir, "tamar", c.options)
			if err == nil || c.want != nil && !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.says) {
				t.Errorf("%v, want %v saying %q", err, c.want, c.says)
			}
		})
	}
	over, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Open(over, folder(t, nil), "tamar", Options{}); !errors.Is(err, context.Canceled) {
		t.Errorf("when nobody waits any more: %v", err)
	}
	odd := folder(t, func(m *runfile.Meta) { m.Setup.Apparatus.Bob.Mass.Value = -1 })
	if _, err := Open(t.Context(), odd, "tamar", Options{}); err == nil || errors.Is(err, analysis.ErrNothing) {
		t.Errorf("an impossible bob: %v", err)
	}
}

// A run that its daemon did not close is told of, and worked out as far as it goes.
func TestRunCutShort(t *testing.T) {
	dir := folder(t, nil)
	meta, err := dir.ReadFile("tamar.csv-metadata.json")
	if err != nil {
		t.Fatal(err)
	}
	meta = bytes.Replace(meta, []byte(`ns#complete": true`), []byte(`ns#complete": false`), 1)
	if err := dir.WriteFile("tamar.csv-metadata.json", meta, 0o644); err != nil {
		t.Fatal(err)
	}
	r, err := Open(t.Context(), dir, "tamar", Options{})
	if err != nil || len(r.Notes) != 1 || !strings.Contains(r.Notes[0], "cut short") {
		t.Errorf("%v, notes %v", err, r)
	}
}
