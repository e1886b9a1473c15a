package main

import (
	"context"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/upkeep"
	"joulewell/daq/wire"
)

// heard is what a dialogue prints, for one who waits for a word of it.
type heard struct {
	mu   sync.Mutex
	said strings.Builder
	read int // up to here it was waited for
	more chan struct{}
}

func (h *heard) Write(p []byte) (int, error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.more != nil {
		close(h.more)
		h.more = nil
	}
	return h.said.Write(p)
}

func (h *heard) String() string {
	h.mu.Lock()
	defer h.mu.Unlock()
	return h.said.String()
}

// await returns when word was said after the word waited for before.
func (h *heard) await(word string) {
	for {
		h.mu.Lock()
		if i := strings.Index(h.said.String()[h.read:], word); i >= 0 {
			h.read += i + len(word)
			h.mu.Unlock()
			return
		}
		if h.more == nil {
			h.more = make(chan struct{})
		}
		more := h.more
		h.mu.Unlock()
		<-more
	}
}

// A technician calibrates a cell at the terminal: hangs, types, takes one back, is told
// of a word that is no load, and ends with done. The cell's counts come as fast as they
// are taken.
func TestCalibrationAtTheTerminal(t *testing.T) {
	file, err := setup.Load("../../testdata/benches/severn.toml")
	if err != nil {
		t.Fatal(err)
	}
	file.Calibration = filepath.Join(t.TempDir(), setup.Book)
	desk, err := upkeep.Open(file, func() time.Time { return time.Date(2026, 11, 25, 19, 0, 0, 0, time.UTC) })
	if err != nil {
		t.Fatal(err)
	}
	if err := desk.Begin(upkeep.Force); err != nil {
		t.Fatal(err)
	}
	const zero, span, gravity = -18230.0, 1.21e-5, 9.8142
	var load atomic.Uint64 // [kg] hanging now, as bits
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	bench := make(chan error, 1)
	go func() {
		rng := rand.New(rand.NewPCG(41, 1))
		for ns := int64(0); ctx.Err() == nil; ns += 12_500_000 {
			var f frame.Frame
			f.T, f.Epoch = ns, 1
			newtons := math.Float64frombits(load.Load()) * gravity * (1 - 1.2/8000)
			f.Reading.Set(wire.LoadCounts, math.Round(zero+newtons/span+20*rng.NormFloat64()))
			desk.Hear([]frame.Frame{f})
			time.Sleep(time.Microsecond) // lets the dialogue have its turn
		}
		bench <- nil
	}()
	in, hand := io.Pipe()
	var out heard
	go func() {
		defer hand.Close()
		for _, step := range []struct {
			kg          float64
			says, until string
		}{
			{0, "none", "point 1"}, {0.1, "100.0 g", "point 2"}, {0.2, "the red one", "not taken"}, {0.2, "200.0 g", "point 3"},
			{0.3, "250 g", "point 4"}, {0.3, "undo", "taken back"}, {0.3, "300.0 g", "point 4"},
			{0.2, "200.0 g", "point 5"}, {0.1, "100.0 g", "point 6"}, {0, "none", "point 7"}, {0, "show", "One count"}, {0, "done", "kept"},
		} {
			load.Store(math.Float64bits(step.kg))
			io.WriteString(hand, step.says+"\n")
			out.await(step.until)
		}
	}()
	talk := dialogue{desk: desk, out: &out, flags: &calibrateFlags{}, signing: upkeep.Signing{By: "technician"}}
	if err := talk.run(ctx, in, bench); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Hang a load", "point 1 taken: -182", "not taken: load \"the red one\"", "taken back; points left: 3", "point 7 taken", "so far span 1.2", "kept in "} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("the dialogue does not say %q:\n%s", want, out.String())
		}
	}
	laid := desk.File()
	if cell := laid.Bench.Calibration.Force; math.Abs(cell.Span.Value-span) > 4*cell.Span.U {
		t.Errorf("span %+v, want %g", cell.Span, span)
	}
}

func TestQuittingWritesNothing(t *testing.T) {
	file, err := setup.Load("../../testdata/benches/severn.toml")
	if err != nil {
		t.Fatal(err)
	}
	file.Calibration = filepath.Join(t.TempDir(), setup.Book)
	for _, said := range []string{"quit\n", "", "100 g, 145 mm\n", "done\nquit\n"} {
		desk, err := upkeep.Open(file, time.Now)
		if err != nil {
			t.Fatal(err)
		}
		if err := desk.Begin(upkeep.Spring); err != nil {
			t.Fatal(err)
		}
		talk := dialogue{desk: desk, out: io.Discard, flags: &calibrateFlags{}}
		if err := talk.run(t.Context(), strings.NewReader(said), nil); !errors.Is(err, errQuit) {
			t.Errorf("%q: %v, want nothing written", said, err)
		}
		if book, err := upkeep.Load(file.Calibration); err != nil || len(book) != 0 {
			t.Errorf("%q: book %v, %v", said, book, err)
		}
	}
}
