package runfile

import (
	"errors"
	"math"
	"os/exec"
	"strconv"
	"strings"
	"testing"
	"time"
)

func TestName(t *testing.T) {
	now := time.Date(2026, 11, 25, 20, 42, 10, 999, time.FixedZone("", 2*3600))
	for bench, want := range map[string]string{
		"Tamar":                  "2026-11-25T184210Z-tamar",
		"Severn 2 (east wall)":   "2026-11-25T184210Z-severn-2-east-wall",
		"../../etc":              "2026-11-25T184210Z-etc",
		"Ourthe d'Été":           "2026-11-25T184210Z-ourthe-d-t",
		"":                       "2026-11-25T184210Z-bench",
		"河":                      "2026-11-25T184210Z-bench",
		strings.Repeat("ab", 99): "2026-11-25T184210Z-" + strings.Repeat("ab", 20),
	} {
		got := Name(now, bench)
		if got != want {
			t.Errorf("%q: %s, want %s", bench, got, want)
		}
		if err := checkName(got); err != nil {
			t.Error(err)
		}
	}
}

func TestFree(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	for _, step := range []struct{ want, then string }{
		{"run", "run.csv"}, {"run-2", "run-2.csv.part"}, {"run-3", "run-3.csv-metadata.json"}, {"run-4", "run-4.csv"},
	} {
		got, err := Free(dir, "run")
		if err != nil || got != step.want {
			t.Fatalf("%s, %v, want %s", got, err, step.want)
		}
		put(t, dir, step.then, nil)
	}
}

func TestBadNames(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	for _, name := range []string{"", ".", "..", ".hidden", "a/b", `a\b`, "a:b", "a\nb", strings.Repeat("x", 201)} {
		if _, err := Create(dir, name, Meta{}, Options{}); err == nil || !strings.Contains(err.Error(), "plain file name") {
			t.Errorf("%q: %v", name, err)
		}
	}
}

func TestRoom(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	free, err := Room(dir)
	if err != nil || free == 0 {
		t.Fatalf("%d bytes, %v", free, err)
	}
	if err := CheckRoom(dir, 0); err != nil {
		t.Error(err)
	}
	if err := CheckRoom(dir, 1<<62); !errors.Is(err, ErrNoRoom) || !strings.Contains(err.Error(), "MB are left") {
		t.Errorf("%v", err)
	}
}

// The independent route: what df says, give or take what others write meanwhile.
func TestRoomIsWhatDfSays(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	out, err := exec.Command("df", "-P", "-k", dir.Name()).Output()
	if errors.Is(err, exec.ErrNotFound) {
		t.Skip("there is no df on this machine to compare with")
	}
	if err != nil {
		t.Fatal(err)
	}
	_, second, _ := strings.Cut(string(out), "\n")
	parts := strings.Fields(second)
	if len(parts) < 4 {
		t.Fatalf("df says %q", out)
	}
	want, err := strconv.ParseFloat(parts[3], 64)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Room(dir)
	if err != nil || math.Abs(float64(got)-want*1024) > 1<<30 {
		t.Errorf("%d bytes (%v), df says %g kB", got, err, want)
	}
}
