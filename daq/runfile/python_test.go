package runfile

import (
	"encoding/json"
	"errors"
	"os"
	"os/exec"
	"strings"
	"testing"

	"joulewell/daq/frame"
	"joulewell/daq/wire"
)

// needPython names the environment variable that forbids to skip for want of python3.
const needPython = "JOULEWELL_NEED_PYTHON"

// pythonReader reads a run as anyone would with Python's standard library.
const pythonReader = `
import csv, decimal, json, sys
with open(sys.argv[1] + ".csv", newline="", encoding="utf-8") as f:
    table = csv.reader(f, strict=True)
    header = next(table)
    rows = [dict(zip(header, row, strict=True)) for row in table]
with open(sys.argv[1] + ".csv-metadata.json", encoding="utf-8") as f:
    meta = json.load(f)
ns = "https://joulewell.example/ns#"
print(json.dumps({
    "titles": [c["titles"] for c in meta["tableSchema"]["columns"]] == header,
    "rows": len(rows) if len(rows) == meta[ns + "rows"] else -1,
    "note": meta[ns + "note"],
    "rate": meta[ns + "setup"]["apparatus"]["spring"]["rate_N_per_m"]["value"],
    "nanoseconds": int(sum(decimal.Decimal(r["time_s"]) for r in rows) * 10**9),
    "counts": sum(int(r["raw_load_counts"]) for r in rows),
    "total": repr(float(rows[-1]["total_J"])),
    "absent": sum(r["raw_range_mm"] == "" for r in rows),
    "flags": rows[-1]["flags"].split(),
}))
`

func findPython(t *testing.T) string {
	t.Helper()
	python, err := exec.LookPath("python3")
	if err != nil && os.Getenv(needPython) == "" {
		t.Skip("python3 is not on this machine, so nobody else reads the file here: set " + needPython + "=1 to insist")
	}
	if err != nil {
		t.Fatal(err)
	}
	return python
}

// The lines that README.md offers do what they are there for.
func TestReadmePython(t *testing.T) {
	python, dir := findPython(t), openRoot(t, t.TempDir())
	put(t, dir, "run.csv", table(4))
	_, script, _ := strings.Cut(readme(t), "```python\n")
	script, _, _ = strings.Cut(script, "```\n")
	child := exec.Command(python, "-c", script+"print(t, total)")
	child.Dir = dir.Name()
	out, err := child.CombinedOutput()
	if want := "[-0.012, -0.011, -0.01, -0.009] [1.4313, 1.4313, 1.4313, 1.4313]\n"; err != nil || string(out) != want {
		t.Errorf("%s, %v, want %s", out, err, want)
	}
}

func TestPythonReadsIt(t *testing.T) {
	python := findPython(t)
	dir := openRoot(t, t.TempDir())
	m := Meta{Note: "brass bob on S-4, \"slowly\" — 2 µm, été"}
	m.Setup.Apparatus.Spring.Rate.Value = 24.9
	rec, err := Create(dir, "run", m, Options{})
	if err != nil {
		t.Fatal(err)
	}
	var nanoseconds, counts int64
	const rows = 300
	for i := range rows {
		f := swing(i)
		if i == rows-1 {
			f.Flags = frame.Gap | frame.NoEcho
		}
		nanoseconds += f.T
		counts += int64(f.Reading.Values[wire.LoadCounts])
		rec.Append(f)
	}
	if err := rec.Close(m); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command(python, "-c", pythonReader, dir.Name()+"/run").Output()
	if e := new(exec.ExitError); errors.As(err, &e) {
		t.Fatalf("python3: %s", e.Stderr)
	}
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]any{
		"titles": true, "rows": float64(rows), "note": m.Note, "rate": 24.9, "total": "1.4313",
		"nanoseconds": float64(nanoseconds), "counts": float64(counts), "absent": float64(rows),
	} {
		if got[key] != want {
			t.Errorf("%s: python3 has %v, want %v", key, got[key], want)
		}
	}
	if flags := got["flags"].([]any); len(flags) != 2 || flags[0] != "gap" || flags[1] != "no-echo" {
		t.Errorf("flags %v", flags)
	}
}
