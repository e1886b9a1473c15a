package analysis

import (
	"os"
	"testing"

	"joulewell/daq/runfile"
	"joulewell/daq/virtual"
)

func TestZZGen(t *testing.T) {
	dir := os.Getenv("GENDIR")
	if dir == "" {
		t.Skip()
	}
	root, _ := os.OpenRoot(dir)
	for _, c := range []virtual.Config{virtual.Default(), virtual.Quiet(1000), virtual.Lossless()} {
		r, b, _ := record(t, c, 27)
		rec, err := runfile.Create(root, "run-"+c.Name, runfile.Meta{Setup: *b, Virtual: true}, runfile.Options{Limit: 1 << 30})
		if err != nil {
			t.Fatal(err)
		}
		for i := range r.frames {
			rec.Append(&r.frames[i])
		}
		if err := rec.Close(runfile.Meta{Setup: *b, Virtual: true}); err != nil {
			t.Fatal(err)
		}
	}
}
