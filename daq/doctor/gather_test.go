package doctor

import (
	"errors"
	"io/fs"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"joulewell/daq/runfile"
	"joulewell/daq/setup"
)

// options are those of an example bench whose files lie in a folder of the test's own.
func options(t *testing.T) Options {
	t.Helper()
	text, err := os.ReadFile("../../testdata/benches/severn.toml")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "bench.toml")
	if err := os.WriteFile(path, text, 0o644); err != nil {
		t.Fatal(err)
	}
	file, err := setup.Load(path)
	if err != nil {
		t.Fatal(err)
	}
	file.Data, file.Listen, file.Device.Port = filepath.Join(filepath.Dir(path), "data", "runs"), "127.0.0.1:0", "/dev/no-such-port"
	return Options{Path: path, File: file, Now: func() time.Time { return today }}
}

func TestGatherLeavesNothingBehind(t *testing.T) {
	o := options(t)
	f := Gather(t.Context(), o)
	if f.Data.Err != nil || f.Data.Free == 0 {
		t.Errorf("data folder %+v", f.Data)
	}
	if f.Port.Err == nil || !strings.Contains(f.Port.Err.Error(), "no such device") {
		t.Errorf("port that is not there: %v", f.Port.Err)
	}
	if f.File.Bench != "Severn" || len(f.Parts) != 4 || f.PartsBy != nil || f.Web.Err != nil || f.Web.Beyond {
		t.Errorf("facts %+v", f)
	}
	left, err := os.ReadDir(filepath.Dir(o.Path))
	if err != nil || len(left) != 1 {
		t.Errorf("beside the bench file there is %v now", left)
	}
}

// What the bench's own files say of dates is held against the clock, and runs that were
// cut short are counted.
func TestGatherReadsTheBenchsFiles(t *testing.T) {
	o := options(t)
	if err := os.MkdirAll(o.File.Data, 0o755); err != nil {
		t.Fatal(err)
	}
	root, err := os.OpenRoot(o.File.Data)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	run, err := runfile.Create(root, "2026-11-25T190000Z-severn", runfile.Meta{Created: today.Add(18 * time.Minute)}, runfile.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := run.Close(runfile.Meta{Created: today.Add(18 * time.Minute)}); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(o.File.Data, "torn.csv.part"), []byte("time"), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(o.File.Calibration, []byte("date = = 1"), 0o644); err != nil {
		t.Fatal(err)
	}
	f := Gather(t.Context(), o)
	if f.Data.Cut != 1 || !f.Clock.Newest.Equal(today.Add(18*time.Minute)) || !strings.Contains(f.Clock.NewestOf, "2026-11-25T190000Z-severn") {
		t.Errorf("data %+v, clock %+v", f.Data, f.Clock)
	}
	if f.Book.Path != o.File.Calibration || f.Book.Err != nil {
		t.Errorf("book %+v", f.Book)
	}
	if f.PartsBy == nil || !strings.Contains(f.PartsBy.Error(), "calibration.toml") {
		t.Errorf("spoiled book: %v", f.PartsBy)
	}
}

func TestGatherOnWhatCannotBeUsed(t *testing.T) {
	o := options(t)
	o.File.Data = filepath.Join(o.Path, "runs") // below a file, where no folder can be
	if f := Gather(t.Context(), o); f.Data.Err == nil || errors.Is(f.Data.Err, fs.ErrNotExist) {
		t.Errorf("data folder below a file: %v", f.Data.Err)
	}
	o.File.Calibration = filepath.Join(o.Path, "calibration.toml")
	if f := Gather(t.Context(), o); f.Book.Err == nil {
		t.Error("a book below a file can be kept")
	}
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/metrics" {
			w.Write([]byte("# HELP joulewell_device_up x\n"))
		}
	}))
	defer server.Close()
	stranger := httptest.NewServer(http.NotFoundHandler())
	defer stranger.Close()
	for address, ours := range map[string]bool{server.Listener.Addr().String(): true, stranger.Listener.Addr().String(): false} {
		o.File.Listen = address
		if f := Gather(t.Context(), o); !errors.Is(f.Web.Err, syscall.EADDRINUSE) || f.Web.Ours != ours {
			t.Errorf("%s: %+v, want taken, ours %v", address, f.Web, ours)
		}
	}
	o.File.Listen = "nonsense"
	if f := Gather(t.Context(), o); f.Web.Err == nil {
		t.Error("an address that is none is taken for one")
	}
}
