package daq

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
)

var update = flag.Bool("update", false, "write what the recordings give now into testdata")

const recordings = "../testdata/recordings"

// play runs a source to its end through a bench and returns its frames and last status.
func play(t *testing.T, s source.Source, b *setup.Bench) ([]frame.Frame, *Status) {
	t.Helper()
	bn, err := New(Options{
		Setup: b, Source: s, Clock: source.NewClock(), Device: setup.Device{RequireChecksum: true},
	})
	if err != nil {
		t.Fatal(err)
	}
	var frames []frame.Frame
	bn.Listen(func(batch Batch) { frames = append(frames, batch.Frames...) })
	ctx, stop := context.WithCancel(t.Context())
	ended := make(chan error, 1)
	go func() { ended <- bn.Run(ctx) }()
	for bn.Status().Link != Finished {
		bn.do(func() {})
	}
	stop()
	if err := <-ended; err != nil {
		t.Fatal(err)
	}
	return frames, bn.Status()
}

// summary is what a recording's counts file holds.
func summary(s *Status) string {
	var text strings.Builder
	fmt.Fprintf(&text, "accepted %d\nmisplaced %d\nopens %d\nepochs %d\n", s.Lines.Accepted, s.Misplaced, s.Opens, s.Epoch)
	for r, n := range s.Lines.Refused {
		if n > 0 {
			fmt.Fprintf(&text, "refused %s %d\n", wire.Reason(r), n)
		}
	}
	return text.String()
}

// Bytes as they were received give the frames and the counts that they gave before.
// Whoever changes a golden says in the commit why.
func TestRecordings(t *testing.T) {
	if *update {
		record(t)
	}
	dirs, err := filepath.Glob(recordings + "/*/about.toml")
	if err != nil || len(dirs) == 0 {
		t.Fatalf("recordings: %v, %v", dirs, err)
	}
	for _, about := range dirs {
		dir := filepath.Dir(about)
		t.Run(filepath.Base(dir), func(t *testing.T) {
			text, err := os.ReadFile(filepath.Join(dir, "received.txt"))
			if err != nil {
				t.Fatal(err)
			}
			recording, err := source.NewRecording(bytes.NewReader(text), source.PlayOptions{Name: "recording"})
			if err != nil {
				t.Fatal(err)
			}
			b := virtual.Setup(virtual.Default())
			frames, status := play(t, recording, &b)
			if err := recording.Err(); err != nil {
				t.Fatal(err)
			}
			var rows bytes.Buffer
			rows.Write(runfile.AppendHeader(nil))
			for i := range frames {
				rows.Write(runfile.AppendRow(nil, &frames[i]))
			}
			if *update {
				if err := os.WriteFile(filepath.Join(dir, "frames.csv"), rows.Bytes(), 0o644); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(filepath.Join(dir, "counts.txt"), []byte(summary(status)), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			counts, err := os.ReadFile(filepath.Join(dir, "counts.txt"))
			if err != nil {
				t.Fatal(err)
			}
			if got := summary(status); got != string(counts) {
				t.Errorf("counts:\n%swant:\n%s", got, counts)
			}
			compareFrames(t, frames, filepath.Join(dir, "frames.csv"))
		})
	}
}

// compareFrames holds frames against a golden file. Compilers for other processors
// may round once where two roundings are written, hence one unit of the last digit.
func compareFrames(t *testing.T, frames []frame.Frame, golden string) {
	t.Helper()
	file, err := os.Open(golden)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	reader, err := runfile.NewReader(golden, file)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; ; i++ {
		var want frame.Frame
		switch err := reader.Next(&want); {
		case err == io.EOF && i == len(frames):
			return
		case err == io.EOF || err == nil && i == len(frames):
			t.Fatalf("%d frames, golden ends or goes on at row %d", len(frames), i+1)
		case err != nil:
			t.Fatal(err)
		}
		got := &frames[i]
		if got.T != want.T || got.Epoch != want.Epoch || got.Flags != want.Flags || got.Reading.Seq != want.Reading.Seq {
			t.Fatalf("row %d: %d ns, epoch %d, flags %q, seq %d; want %d, %d, %q, %d", i+1,
				got.T, got.Epoch, got.Flags.Words(nil), got.Reading.Seq, want.T, want.Epoch, want.Flags.Words(nil), want.Reading.Seq)
		}
		for _, c := range frame.Columns() {
			g, w := c.Of(got), c.Of(&want)
			if unit := math.Pow(10, -float64(max(c.Decimals, 0))); math.IsNaN(g) != math.IsNaN(w) || math.Abs(g-w) > 1.001*unit {
				t.Fatalf("row %d: %s = %v, want %v", i+1, c.Name, g, w)
			}
		}
	}
}

// record writes the recordings of the virtual bench anew.
func record(t *testing.T) {
	for name, faults := range map[string][]string{
		"tamar-drop":  nil,
		"tamar-reset": {"reset=0.3@2.5", "bad-checksum=0.02", "torn-line=0.02", "echo-outlier=0.05", "lost-echo=0.05", "doubled-line=0.02", "swapped-lines=0.02"},
		"tamar-wrap":  {"clock-wrap=2"},
	} {
		config := virtual.Default()
		config.Seed = 7
		var err error
		if config.Faults, err = virtual.ParseFaults(faults); err != nil {
			t.Fatal(err)
		}
		device, err := virtual.New(config)
		if err != nil {
			t.Fatal(err)
		}
		file, err := os.Create(filepath.Join(recordings, name, "received.txt"))
		if err != nil {
			t.Fatal(err)
		}
		defer file.Close()
		s := source.RecordTo(file, source.NewVirtual(&until{device, 5e9}, source.PlayOptions{Name: "virtual bench Tamar"}))
		s.Run(t.Context(), func(source.Event) bool { return true })
		if err := s.Err(); err != nil {
			t.Fatal(err)
		}
	}
}

// until is a player that ends at an instant [ns].
type until struct {
	source.Player
	end int64
}

func (u *until) Next() ([]byte, int64, bool) {
	chunk, at, ok := u.Player.Next()
	return chunk, at, ok && at < u.end
}
