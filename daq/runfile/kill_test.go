package runfile

import (
	"bufio"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"strconv"
	"testing"
	"time"
)

// writerDir names the environment variable that turns this test program into a
// recorder that goes on until it is killed.
const writerDir = "JOULEWELL_TEST_WRITER_DIR"

// writeUntilKilled records a row a millisecond and prints its number when Append
// has returned. It ends by being killed, or when nobody reads what it prints.
func writeUntilKilled(dir string) {
	root, err := os.OpenRoot(dir)
	if err == nil {
		var rec *Recorder
		rec, err = Create(root, "run", Meta{Note: "killed"}, Options{})
		tick := time.NewTicker(time.Millisecond)
		for i := 0; err == nil; i++ {
			<-tick.C
			rec.Append(swing(i))
			_, err = fmt.Println(i)
		}
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// A recorder killed at any moment loses no row that was handed to it more than a
// second before, and a repair leaves no torn one.
func TestKill(t *testing.T) {
	program, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for n := range 6 {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			t.Parallel()
			seeded := rand.New(rand.NewPCG(uint64(n), 20261125))
			path := t.TempDir()
			old := killAfter(t, program, path, 1100+seeded.IntN(1000))
			checkKilled(t, path, old)
		})
	}
}

// killAfter lets a writer record that many rows, kills it, and returns how many of
// them had been acknowledged for a second by then.
func killAfter(t *testing.T, program, path string, rows int) (old int) {
	child := exec.Command(program)
	child.Env = append(os.Environ(), writerDir+"="+path)
	child.Stderr = os.Stderr
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	var seen []time.Time
	lines := bufio.NewScanner(out)
	for len(seen) < rows && lines.Scan() {
		if i, err := strconv.Atoi(lines.Text()); err != nil || i != len(seen) {
			t.Errorf("the writer printed %q", lines.Text())
		}
		seen = append(seen, time.Now())
	}
	killed := time.Now()
	if err := child.Process.Kill(); err != nil {
		t.Fatal(err)
	}
	if err := child.Wait(); err == nil || len(seen) < rows {
		t.Fatalf("the writer ended by itself after %d rows: %v", len(seen), err)
	}
	for old < len(seen) && killed.Sub(seen[old]) > time.Second {
		old++
	}
	return old
}

func checkKilled(t *testing.T, path string, old int) {
	dir := openRoot(t, path)
	repaired, err := Repair(dir)
	if err != nil || len(repaired) != 1 {
		t.Fatalf("repaired %+v, %v", repaired, err)
	}
	rows := fields(t, content(t, dir, "run.csv"))[1:]
	for i, row := range rows {
		if row[2] != strconv.Itoa(i) {
			t.Fatalf("row %d has seq %s", i, row[2])
		}
	}
	if len(rows) < old {
		t.Errorf("%d rows are left of %d that were a second old", len(rows), old)
	}
	if old == 0 {
		t.Error("no row was a second old: nothing was tested")
	}
	m, err := readMeta(dir, "run")
	if err != nil || m.Complete || m.Rows != uint64(len(rows)) || m.Note != "killed" {
		t.Errorf("description %+v, %v", m, err)
	}
	t.Logf("%d rows kept, %d were a second old", len(rows), old)
}

// A kill in the first moments leaves no rows of an unknown setup, however long the disk
// takes to make anything last.
func TestDescribedBeforeTheFirstRow(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	release := make(chan struct{})
	rec, err := Create(dir, "run", Meta{Note: "killed at once"}, Options{Disk: troubled(dir, func(op, _ string, _ int) (int, error) {
		if op == "sync" {
			<-release
		}
		return 0, nil
	})})
	if err != nil {
		t.Fatal(err)
	}
	if m, err := readMeta(dir, "run"); err != nil || m.Note != "killed at once" || m.Complete {
		t.Errorf("description %+v, %v", m, err)
	}
	close(release)
	if err := rec.Close(Meta{}); err != nil {
		t.Fatal(err)
	}
}
