package runfile

import (
	"errors"
	"fmt"
	"os"
	"testing"
	"testing/synctest"
	"time"
)

// sweepRows is how many rows each run of the sweep records, in five batches.
const sweepRows = 50

// record records a short run on a troubled disk. The clock is a fake one, so that
// waiting for a better disk takes no time.
func record(t *testing.T, dir *os.Root, r rule) (s State, created bool, err error) {
	synctest.Test(t, func(t *testing.T) {
		rec, e := Create(dir, "run", Meta{Note: "sweep"}, Options{Disk: troubled(dir, r), SyncEvery: 200 * time.Millisecond})
		if created = e == nil; !created {
			err = e
			return
		}
		for i := range sweepRows {
			rec.Append(swing(i))
			if i%10 == 9 {
				time.Sleep(110 * time.Millisecond)
			}
		}
		err = rec.Close(Meta{Note: "sweep"})
		s = rec.State()
	})
	return s, created, err
}

// wholeRows checks that the run file holds the first rows of the swing, none torn,
// none glued, none missing between, and returns how many.
func wholeRows(t *testing.T, dir *os.Root) int {
	t.Helper()
	r, err := OpenNamed(dir, "run")
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i := range rows {
		if !sameRaw(swing(i), &rows[i]) {
			t.Fatalf("row %d is %+v", i, rows[i])
		}
	}
	if m := r.Meta(); m == nil || m.Rows != uint64(len(rows)) || m.Note != "sweep" {
		t.Fatalf("%d rows, described as %+v", len(rows), m)
	}
	return len(rows)
}

// sweep lets the first, second, third ... call to the disk fail, until a run comes
// to its end before that.
func sweep(t *testing.T, b breakage, count int, check func(t *testing.T, dir *os.Root, s State, err error)) {
	for n := 1; ; n++ {
		dir := openRoot(t, t.TempDir())
		r, reached := b.from(n, count)
		s, created, err := record(t, dir, r)
		if !reached() {
			if n < 15 {
				t.Errorf("only %d calls to the disk", n-1)
			}
			return
		}
		ok := t.Run(fmt.Sprint(n), func(t *testing.T) {
			if !created {
				if !errors.Is(err, b.err) || exists(dir, "run.csv.part") {
					t.Errorf("Create: %v", err)
				}
				return
			}
			check(t, dir, s, err)
		})
		if !ok {
			return
		}
		dir.Close()
	}
}

// A passing failure costs no row, whichever call it hits.
func TestSweepPassingFailure(t *testing.T) {
	for _, b := range breakages {
		for _, count := range []int{1, 3} {
			t.Run(fmt.Sprintf("%s, %d times", b.name, count), func(t *testing.T) {
				sweep(t, b, count, func(t *testing.T, dir *os.Root, s State, err error) {
					if s.Lost != 0 || s.Rows != sweepRows {
						t.Errorf("state %+v", s)
					}
					if left := exists(dir, "run.csv.part"); left && err == nil {
						t.Error("Close left a part and said nothing")
					}
					if _, err := Repair(dir); err != nil {
						t.Fatal(err)
					}
					if n := wholeRows(t, dir); n != sweepRows {
						t.Errorf("%d rows", n)
					}
				})
			})
		}
	}
}

// A disk that fails for good keeps every row that it had taken, and no torn one.
func TestSweepLastingFailure(t *testing.T) {
	for _, b := range breakages {
		t.Run(b.name, func(t *testing.T) {
			sweep(t, b, 1<<30, func(t *testing.T, dir *os.Root, s State, err error) {
				if err == nil && s.Lost > 0 {
					t.Error("rows are lost, and Close said nothing")
				}
				if s.Rows+s.Lost != sweepRows || s.Written > s.Rows {
					t.Errorf("state %+v", s)
				}
				repaired, err := Repair(dir)
				if err != nil {
					t.Fatal(err)
				}
				if s.Written == 0 && len(repaired) == 1 && repaired[0].Removed {
					return
				}
				if n := lastingRows(t, dir); n != int(s.Written) {
					t.Errorf("%d rows, %d were written", n, s.Written)
				}
			})
		})
	}
}

// lastingRows counts rows where the description may never have reached the disk.
func lastingRows(t *testing.T, dir *os.Root) int {
	t.Helper()
	got, err := readText(content(t, dir, "run.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range got {
		if !sameRaw(swing(i), &got[i]) {
			t.Fatalf("row %d is %+v", i, got[i])
		}
	}
	return len(got)
}
