package runfile

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"
)

// repairOne repairs a folder that holds this text as the part of the run "run".
func repairOne(t testing.TB, text []byte) (*os.Root, []Repaired, error) {
	dir := openRoot(t, t.TempDir())
	put(t, dir, "run.csv.part", text)
	repaired, err := Repair(dir)
	return dir, repaired, err
}

// A run cut off at any byte keeps all its whole rows, and none that is torn.
func TestCutAtEveryByte(t *testing.T) {
	const share = 8 // most of the time goes in waiting for the disk
	text := table(3)
	for first := range share {
		t.Run(fmt.Sprint(first), func(t *testing.T) {
			t.Parallel()
			for size := first; size <= len(text); size += share {
				checkCut(t, text, size)
			}
		})
	}
}

func checkCut(t *testing.T, text []byte, size int) {
	kept := text[:bytes.LastIndexByte(text[:size], '\n')+1]
	rows := bytes.Count(kept, []byte("\n")) - 1
	dir, repaired, err := repairOne(t, text[:size])
	if err != nil || len(repaired) != 1 {
		t.Fatalf("cut at %d: %+v, %v", size, repaired, err)
	}
	defer dir.Close()
	if exists(dir, "run.csv.part") || exists(dir, "run.csv.cut") {
		t.Fatalf("cut at %d: more than the run file is left", size)
	}
	if rows < 1 {
		if !repaired[0].Removed || exists(dir, "run.csv") || exists(dir, "run.csv-metadata.json") {
			t.Fatalf("cut at %d: no row, but %+v", size, repaired[0])
		}
		return
	}
	if repaired[0] != (Repaired{Name: "run", Rows: uint64(rows), Cut: int64(size - len(kept))}) {
		t.Fatalf("cut at %d: %+v", size, repaired[0])
	}
	if got := content(t, dir, "run.csv"); !bytes.Equal(got, kept) {
		t.Fatalf("cut at %d: file %q", size, got)
	}
	m, err := readMeta(dir, "run")
	if err != nil || m.Complete || m.Rows != uint64(rows) || !strings.Contains(m.Trouble, "before the run was closed") {
		t.Fatalf("cut at %d: description %+v, %v", size, m, err)
	}
}

// Damage before the end: the rows before it are the run, all else is put aside.
func TestDamageInside(t *testing.T) {
	lines := bytes.SplitAfter(table(4), []byte("\n"))
	good := bytes.Join(lines[:3], nil)
	for name, damage := range map[string][]byte{
		"a row lacks fields":    append(bytes.Clone(lines[3][:50]), '\n'),
		"two rows glued":        append(bytes.Clone(lines[3][:50]), lines[3]...),
		"a page of zeros":       append(make([]byte, 4096), lines[3]...),
		"zeros in mid-row":      bytes.Replace(lines[3], []byte("2140"), make([]byte, 4), 1),
		"letters for the time":  append([]byte("x"), lines[3]...),
		"no epoch":              bytes.Replace(lines[3], []byte(",1,"), []byte(",,"), 1),
		"an endless line":       append(bytes.Repeat([]byte("1"), 2*maxLine), '\n'),
		"a line without an end": bytes.Repeat([]byte("1"), 2*maxLine),
	} {
		rest := append(bytes.Clone(damage), lines[4]...)
		dir, repaired, err := repairOne(t, append(bytes.Clone(good), rest...))
		if err != nil || len(repaired) != 1 || repaired[0].Rows != 2 || repaired[0].Cut != int64(len(rest)) {
			t.Errorf("%s: %+v, %v", name, repaired, err)
			continue
		}
		if !bytes.Equal(content(t, dir, "run.csv"), good) || !bytes.Equal(content(t, dir, "run.csv.cut"), rest) {
			t.Errorf("%s: something got lost", name)
		}
		if m, err := readMeta(dir, "run"); err != nil || !strings.Contains(m.Trouble, "run.csv.cut") {
			t.Errorf("%s: description %+v, %v", name, m, err)
		}
	}
}

// Zeros that a power cut leaves at the end hold nothing.
func TestZerosAtTheEnd(t *testing.T) {
	text := table(3)
	dir, repaired, err := repairOne(t, append(bytes.Clone(text), make([]byte, 9000)...))
	if err != nil || len(repaired) != 1 || repaired[0].Cut != 9000 || exists(dir, "run.csv.cut") {
		t.Fatalf("%+v, %v", repaired, err)
	}
	if !bytes.Equal(content(t, dir, "run.csv"), text) {
		t.Error("the rows have changed")
	}
}

func TestForeignPartIsLeft(t *testing.T) {
	for _, text := range []string{"%PDF-1.7 half a download", "a,b\n1,2\n", strings.Repeat("x", 2*maxLine)} {
		dir, repaired, err := repairOne(t, []byte(text))
		if !errors.Is(err, ErrForeign) || len(repaired) != 0 || string(content(t, dir, "run.csv.part")) != text {
			t.Errorf("%.20q: %+v, %v", text, repaired, err)
		}
	}
}

// One that cannot be repaired does not stand in the way of the others, and things
// that are no files of ours are passed over.
func TestRepairGoesOn(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	put(t, dir, "a.csv.part", []byte("foreign\n"))
	put(t, dir, "b.csv.part", table(1))
	put(t, dir, ".csv.part", table(1))
	put(t, dir, "outside", table(1))
	if err := dir.Mkdir("c.csv.part", 0o755); err != nil {
		t.Fatal(err)
	}
	if err := dir.Symlink("outside", "d.csv.part"); err != nil {
		t.Fatal(err)
	}
	repaired, err := Repair(dir)
	if !errors.Is(err, ErrForeign) || strings.Count(err.Error(), "left as it is") != 1 {
		t.Errorf("%v", err)
	}
	if len(repaired) != 1 || repaired[0].Name != "b" {
		t.Errorf("%+v", repaired)
	}
}

func TestRepairLeavesLiveRunsAlone(t *testing.T) {
	path := t.TempDir()
	dir, other := openRoot(t, path), openRoot(t, path)
	rec, err := Create(dir, "run", Meta{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	rec.Append(swing(0))
	if repaired, err := Repair(other); err != nil || len(repaired) != 0 {
		t.Errorf("%+v, %v", repaired, err)
	}
	if err := rec.Close(Meta{}); err != nil {
		t.Fatal(err)
	}
	if len(fields(t, content(t, dir, "run.csv"))) != 2 {
		t.Error("the run has lost its row")
	}
}

// Whoever has opened a part that another program took in the meantime lets go of it.
func TestPartTakenBeforeTheLock(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	file, err := dir.Create("run.csv.part")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	if err := dir.Rename("run.csv.part", "run.csv"); err != nil {
		t.Fatal(err)
	}
	if err := (folder{dir}).hold(file, "run.csv.part"); err == nil {
		t.Error("a part that is gone was held")
	}
	put(t, dir, "run.csv.part", nil)
	if err := (folder{dir}).hold(file, "run.csv.part"); !errors.Is(err, errBusy) {
		t.Errorf("another file under the name: %v", err)
	}
}

// The description written at the start tells what hung there; the repair keeps it.
func TestRepairKeepsDescription(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	m := Meta{Note: "brass bob", Virtual: true, Created: time.Date(2026, 11, 25, 18, 42, 10, 0, time.UTC)}
	m.Setup.Name = "Tamar"
	m = m.describe("run")
	text, err := m.encode()
	if err != nil {
		t.Fatal(err)
	}
	put(t, dir, "run.csv-metadata.json", text)
	put(t, dir, "run.csv.part", table(3))
	if _, err := Repair(dir); err != nil {
		t.Fatal(err)
	}
	got, err := readMeta(dir, "run")
	if err != nil || got.Note != m.Note || !got.Virtual || got.Setup.Name != "Tamar" || !got.Created.Equal(m.Created) {
		t.Errorf("%+v, %v", got, err)
	}
	if got.Rows != 3 || got.Epochs != 1 || got.Length != 0.002 || got.Complete {
		t.Errorf("%+v", got)
	}
}

// A run whose last step was missing was closed in order all the same.
func TestRepairOfAClosedRun(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	m := Meta{Rows: 3, Complete: true}.describe("run")
	text, err := m.encode()
	if err != nil {
		t.Fatal(err)
	}
	put(t, dir, "run.csv-metadata.json", text)
	put(t, dir, "run.csv.part", table(3))
	if _, err := Repair(dir); err != nil {
		t.Fatal(err)
	}
	if got := content(t, dir, "run.csv-metadata.json"); !bytes.Equal(got, text) {
		t.Errorf("description %s", got)
	}
}

func TestRepairWritesOverNothing(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	put(t, dir, "run.csv", table(1))
	put(t, dir, "run.csv.part", table(3))
	repaired, err := Repair(dir)
	if err != nil || len(repaired) != 1 || repaired[0].Name != "run-2" {
		t.Fatalf("%+v, %v", repaired, err)
	}
	if !bytes.Equal(content(t, dir, "run.csv"), table(1)) || !bytes.Equal(content(t, dir, "run-2.csv"), table(3)) {
		t.Error("files were mixed up")
	}
	if m, err := readMeta(dir, "run-2"); err != nil || m.URL != "run-2.csv" {
		t.Errorf("%+v, %v", m, err)
	}
}

// Without a description the name tells when the run began, and the header which
// columns it has.
func TestRepairWithoutDescription(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	const name = "2026-11-25T184210Z-tamar"
	put(t, dir, name+".csv.part", withoutColumn(t, table(2), "kinetic_J"))
	put(t, dir, name+".csv-metadata.json", []byte("{"))
	if _, err := Repair(dir); err != nil {
		t.Fatal(err)
	}
	m, err := readMeta(dir, name)
	if err != nil {
		t.Fatal(err)
	}
	if want := time.Date(2026, 11, 25, 18, 42, 10, 0, time.UTC); !m.Created.Equal(want) {
		t.Errorf("created %v", m.Created)
	}
	if n := len(m.Schema.Columns); n != len(columns)+4 || !strings.Contains(m.Trouble, "setup is not known") {
		t.Errorf("%d columns, trouble %q", n, m.Trouble)
	}
}

// Whatever lies there: what a repair keeps is the beginning of it, byte for byte, in
// whole rows, and a second look finds nothing more to cut.
func FuzzRepair(f *testing.F) {
	f.Add(table(3), uint(0), byte(0))
	f.Add(table(3), uint(700), byte('\n'))
	f.Add(table(2)[:600], uint(450), byte(','))
	f.Add([]byte("time_s,epoch"), uint(3), byte('x'))
	f.Fuzz(func(t *testing.T, text []byte, at uint, b byte) {
		if at > 0 && len(text) > 0 {
			text = bytes.Clone(text)
			text[at%uint(len(text))] = b
		}
		dir, repaired, err := repairOne(t, text)
		if err != nil {
			if !errors.Is(err, ErrForeign) || !bytes.Equal(content(t, dir, "run.csv.part"), text) {
				t.Fatalf("%v", err)
			}
			return
		}
		if repaired[0].Removed {
			return
		}
		kept := content(t, dir, "run.csv")
		if !bytes.HasPrefix(text, kept) || int64(len(text)-len(kept)) != repaired[0].Cut {
			t.Fatalf("%+v of %q is %q", repaired[0], text, kept)
		}
		again, err := survey(bytes.NewReader(kept))
		if err != nil || again.good != int64(len(kept)) || again.count.rows != repaired[0].Rows {
			t.Fatalf("second look: %+v, %v", again, err)
		}
		next := text[len(kept):]
		if end := bytes.IndexByte(next, '\n'); end >= 0 && end < maxLine-1 && again.admit(next[:end+1]) {
			t.Fatalf("a whole row was cut off: %q", next[:end+1])
		}
		if exists(dir, "run.csv.cut") && !bytes.Equal(content(t, dir, "run.csv.cut"), next) {
			t.Fatal("what was put aside is not what was cut off")
		}
	})
}
