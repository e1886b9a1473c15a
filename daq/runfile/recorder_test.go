package runfile

import (
	"bytes"
	"errors"
	"io/fs"
	"math"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"
	"testing/synctest"
	"time"

	"joulewell/daq/frame"
)

func TestRecord(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	rec, err := Create(dir, "run", Meta{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 2500 {
		f := swing(i)
		if i >= 2000 {
			f.Epoch = 2
		}
		rec.Append(f)
	}
	if err := rec.Close(Meta{Note: "brass bob on S-4"}); err != nil {
		t.Fatal(err)
	}
	if s := rec.State(); s != (State{Name: "run", Rows: 2500, Written: 2500, Stored: 2500}) {
		t.Errorf("state %+v", s)
	}
	r, err := OpenNamed(dir, "run")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	rows, err := r.ReadAll()
	if err != nil || len(rows) != 2500 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	m := r.Meta()
	if m.Note != "brass bob on S-4" || m.Rows != 2500 || m.Epochs != 2 || m.Length != 2.499 || !m.Complete || m.Trouble != "" {
		t.Errorf("description %+v", m)
	}
	rec.Append(swing(0))
	if s := rec.State(); s.Rows != 2500 || s.Lost != 0 {
		t.Errorf("a row after Close: state %+v", s)
	}
	if err := rec.Close(Meta{}); err != nil {
		t.Errorf("second Close: %v", err)
	}
	for _, left := range []string{"run.csv.part", "run.csv-metadata.json.tmp"} {
		if exists(dir, left) {
			t.Errorf("%s is left", left)
		}
	}
}

func TestRunWithoutRows(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	rec, err := Create(dir, "run", Meta{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := rec.Close(Meta{}); err != nil {
		t.Fatal(err)
	}
	if got := content(t, dir, "run.csv"); !bytes.Equal(got, AppendHeader(nil)) {
		t.Errorf("file %q", got)
	}
}

func TestNameTaken(t *testing.T) {
	path := t.TempDir()
	dir, other := openRoot(t, path), openRoot(t, path)
	rec, err := Create(dir, "run", Meta{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := Create(other, "run", Meta{}, Options{}); !errors.Is(err, ErrTaken) {
		t.Errorf("while it is recorded: %v", err)
	}
	if _, err := (folder{other}).Create("run.csv.part"); !errors.Is(err, fs.ErrExist) {
		t.Errorf("a second file of the same name: %v", err)
	}
	rec.Append(swing(0))
	if err := rec.Close(Meta{}); err != nil {
		t.Fatal(err)
	}
	if _, err := Create(other, "run", Meta{}, Options{}); !errors.Is(err, ErrTaken) {
		t.Errorf("when it is finished: %v", err)
	}
	if len(fields(t, content(t, dir, "run.csv"))) != 2 {
		t.Error("the run has been touched")
	}
}

// A file put there by hand while the run goes on is not written over; the run keeps
// its part, of which a repair makes the next free name.
func TestNameTakenMeanwhile(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	rec, err := Create(dir, "run", Meta{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	rec.Append(swing(0))
	put(t, dir, "run.csv", []byte("by hand"))
	if err := rec.Close(Meta{}); !errors.Is(err, ErrTaken) {
		t.Errorf("Close: %v", err)
	}
	repaired, err := Repair(dir)
	if err != nil || len(repaired) != 1 || repaired[0].Name != "run-2" || repaired[0].Rows != 1 {
		t.Errorf("%+v, %v", repaired, err)
	}
	if string(content(t, dir, "run.csv")) != "by hand" {
		t.Error("the file put there by hand has changed")
	}
}

func TestSetupMustBeFinite(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	var m Meta
	m.Setup.Calibration.Force.Span.Value = math.NaN()
	if _, err := Create(dir, "run", m, Options{}); err == nil || !strings.Contains(err.Error(), "must be finite") {
		t.Errorf("Create: %v", err)
	}
	if exists(dir, "run.csv.part") {
		t.Error("a refused run left a file")
	}
}

// An fsync that hangs holds up neither Append nor the writer. The clock stands still
// unless all goroutines wait, so any waiting of Append would show.
func TestSlowSync(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	synctest.Test(t, func(t *testing.T) {
		release := make(chan struct{})
		var hung atomic.Bool
		rec, err := Create(dir, "run", Meta{}, Options{Disk: troubled(dir, func(op, name string, _ int) (int, error) {
			if op == "sync" && isPart(name) {
				hung.Store(true)
				<-release
			}
			return 0, nil
		})})
		if err != nil {
			t.Fatal(err)
		}
		rec.Append(swing(0))
		time.Sleep(1500 * time.Millisecond)
		if !hung.Load() {
			t.Fatal("no fsync in the first second and a half")
		}
		start := time.Now()
		for i := 1; i <= 1000; i++ {
			rec.Append(swing(i))
		}
		if waited := time.Since(start); waited != 0 {
			t.Errorf("Append waited for %v", waited)
		}
		time.Sleep(2 * time.Second)
		if s := rec.State(); s.Written != 1001 || s.Stored != 0 || s.Lost != 0 || s.Trouble != "" {
			t.Errorf("state %+v", s)
		}
		if m, err := readMeta(dir, "run"); err != nil || m.Complete || m.Trouble != unclosed {
			t.Errorf("description of a run that goes on: %+v, %v", m, err)
		}
		close(release)
		if err := rec.Close(Meta{}); err != nil {
			t.Fatal(err)
		}
	})
}

// A write that hangs fills the memory up to its limit. The rows lost then are
// counted, and the first one kept afterwards is flagged.
func TestMemoryLimit(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	synctest.Test(t, func(t *testing.T) {
		release := make(chan struct{})
		disk := troubled(dir, func(op, name string, n int) (int, error) {
			if op == "write" && isPart(name) {
				<-release
			}
			return n, nil
		})
		rec, err := Create(dir, "run", Meta{}, Options{Disk: disk, Limit: 10_000})
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(150 * time.Millisecond) // the writer now hangs on the header
		for i := range 100 {
			rec.Append(swing(i))
		}
		s := rec.State()
		if s.Rows+s.Lost != 100 || s.Lost == 0 || s.Rows < 40 || s.Written != 0 || !strings.Contains(s.Trouble, "could not be kept") {
			t.Errorf("state %+v", s)
		}
		close(release)
		time.Sleep(time.Second)
		rec.Append(swing(100))
		rec.Append(swing(101))
		if err := rec.Close(Meta{}); err != nil {
			t.Fatal(err)
		}
		r, err := OpenNamed(dir, "run")
		if err != nil {
			t.Fatal(err)
		}
		defer r.Close()
		rows, err := r.ReadAll()
		if err != nil || len(rows) != int(s.Rows)+2 {
			t.Fatalf("%d rows, %v", len(rows), err)
		}
		for i, f := range rows {
			if gap := f.Flags&frame.Gap != 0; gap != (f.Reading.Seq == 100) {
				t.Errorf("row %d, seq %d: gap %v", i, f.Reading.Seq, gap)
			}
		}
		if m := r.Meta(); m.Complete || m.Lost != s.Lost || m.Rows != s.Rows+2 || !strings.Contains(m.Trouble, "could not be kept") {
			t.Errorf("description %+v", m)
		}
	})
}

func TestDiskFullForAWhile(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	synctest.Test(t, func(t *testing.T) {
		var full atomic.Bool
		rec, err := Create(dir, "run", Meta{}, Options{Disk: troubled(dir, func(op, name string, n int) (int, error) {
			if full.Load() && op == "write" {
				return n / 2, syscall.ENOSPC
			}
			return n, nil
		})})
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(50 * time.Millisecond) // never to look while the writer is at work
		for i := range 30 {
			full.Store(i >= 10 && i < 20)
			rec.Append(swing(i))
			time.Sleep(500 * time.Millisecond)
			recovering := i >= 20 && i < 24 // the next try may be two seconds away
			s := rec.State()
			if told := strings.HasPrefix(s.Trouble, "disk full"); told != full.Load() && !recovering {
				t.Errorf("row %d: state %+v", i, s)
			}
			if text := content(t, dir, "run.csv.part"); text[len(text)-1] != '\n' {
				t.Errorf("row %d: the file ends in a torn row", i)
			}
		}
		if err := rec.Close(Meta{}); err != nil {
			t.Fatal(err)
		}
		r, err := OpenNamed(dir, "run")
		if err != nil {
			t.Fatal(err)
		}
		defer r.Close()
		if rows, err := r.ReadAll(); err != nil || len(rows) != 30 {
			t.Errorf("%d rows, %v", len(rows), err)
		}
		if m := r.Meta(); !m.Complete || !strings.Contains(m.Trouble, "disk full") {
			t.Errorf("description %+v", m)
		}
	})
}

// After one fsync that was refused no later success counts.
func TestSyncRefusedOnce(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	synctest.Test(t, func(t *testing.T) {
		refused := false
		rec, err := Create(dir, "run", Meta{}, Options{Disk: troubled(dir, func(op, name string, n int) (int, error) {
			if op == "sync" && isPart(name) && !refused {
				refused = true
				return 0, syscall.EIO
			}
			return n, nil
		})})
		if err != nil {
			t.Fatal(err)
		}
		time.Sleep(500 * time.Millisecond) // so that rows come between two fsyncs
		for i := range 5 {
			rec.Append(swing(i))
			time.Sleep(time.Second)
		}
		if s := rec.State(); !strings.Contains(s.Trouble, "may be missing after a power cut") || s.Stored != 0 || s.Written != 5 {
			t.Errorf("state %+v", s)
		}
		if err := rec.Close(Meta{}); err != nil {
			t.Fatal(err)
		}
		m, err := readMeta(dir, "run")
		if err != nil {
			t.Fatal(err)
		}
		if m.Complete || m.Rows != 5 || m.Lost != 0 || !strings.Contains(m.Trouble, "rows 1 to 1 of run may be missing") {
			t.Errorf("description %+v", m)
		}
	})
}

// Close gives up on a disk that stays full, says how many rows that cost, and
// leaves a file of whole rows.
func TestCloseOnAFullDisk(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	synctest.Test(t, func(t *testing.T) {
		var full atomic.Bool
		rec, err := Create(dir, "run", Meta{}, Options{Disk: troubled(dir, func(op, name string, n int) (int, error) {
			if full.Load() && op == "write" && isPart(name) {
				return n / 20, syscall.ENOSPC
			}
			return n, nil
		})})
		if err != nil {
			t.Fatal(err)
		}
		for i := range 10 {
			rec.Append(swing(i))
		}
		time.Sleep(time.Second)
		full.Store(true)
		for i := 10; i < 14; i++ {
			rec.Append(swing(i))
		}
		start := time.Now()
		err = rec.Close(Meta{})
		if !errors.Is(err, syscall.ENOSPC) || !strings.Contains(err.Error(), "4 rows are lost") {
			t.Errorf("Close: %v", err)
		}
		if waited := time.Since(start); waited < 5*time.Second || waited > 8*time.Second {
			t.Errorf("Close tried for %v", waited)
		}
		if s := rec.State(); s.Rows != 10 || s.Written != 10 || s.Lost != 4 {
			t.Errorf("state %+v", s)
		}
		rows, err := readText(content(t, dir, "run.csv"))
		if err != nil || len(rows) != 10 {
			t.Errorf("%d rows, %v", len(rows), err)
		}
		m, err := readMeta(dir, "run")
		if err != nil || m.Rows != 10 || m.Lost != 4 || m.Length != 0.009 || m.Complete {
			t.Errorf("description %+v, %v", m, err)
		}
	})
}
