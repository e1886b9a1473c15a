package series

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"joulewell/daq"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/trials"
	"joulewell/daq/virtual"
)

// stage is a real bench with a virtual device and a series at it. Time passes only in
// play, and after each piece of input the series has done what that asks for.
type stage struct {
	*Series
	t      testing.TB
	bench  *daq.Bench
	disk   refusing
	dir    string
	setup  setup.Bench
	clock  atomic.Int64
	device *virtual.Device
	end    time.Duration // of the play so far

	plays  chan func(emit func(source.Event) bool)
	played chan struct{}
	heard  chan event // from the ear, handed on by play
	stop   func()     // ends series and bench
}

// refusing is a bench whose disk may refuse.
type refusing struct {
	*daq.Bench
	start, stop atomic.Pointer[error]  // nil = it does not
	trouble     atomic.Pointer[string] // of the run being recorded; nil = none
}

func (r *refusing) Status() *daq.Status {
	st := r.Bench.Status()
	if text := r.trouble.Load(); text != nil && st.Run.Active {
		changed := *st
		changed.Run.Trouble = *text
		return &changed
	}
	return st
}

func (r *refusing) StartRunFrom(note string, from int64) (daq.Recording, error) {
	if err := r.start.Load(); err != nil {
		return daq.Recording{}, *err
	}
	return r.Bench.StartRunFrom(note, from)
}

func (r *refusing) StopRun() (daq.Recording, error) {
	run, err := r.Bench.StopRun()
	if also := r.stop.Load(); also != nil {
		err = errors.Join(err, *also)
	}
	return run, err
}

// coils of the simulated springs: a dozen carry the same waves as forty, but for the
// shortest, at a tenth of the time.
const coils = 12

func tamar() virtual.Config {
	c := virtual.Default()
	c.Spring.Coils = coils
	return c
}

// repeating makes the hand of c let go, catch and let go again.
func repeating(c virtual.Config, period float64) virtual.Config {
	c.Hand.Hold, c.Hand.Carry, c.Hand.Period = 1.5, 1.5, period
	return c
}

// evening is when everything on a stage is handed in.
var evening = time.Date(2026, 3, 4, 19, 30, 0, 0, time.UTC)

func newStage(t testing.TB, c virtual.Config) *stage { return newStageIn(t, c, t.TempDir()) }

func newStageIn(t testing.TB, c virtual.Config, dir string) *stage {
	t.Helper()
	s := &stage{
		t: t, dir: dir, setup: virtual.Setup(c), heard: make(chan event, 64),
		plays: make(chan func(func(source.Event) bool)), played: make(chan struct{}),
	}
	var err error
	if s.device, err = virtual.New(c); err != nil {
		t.Fatal(err)
	}
	s.bench, err = daq.New(daq.Options{
		Setup: &s.setup, Source: script{s}, Clock: func() time.Duration { return time.Duration(s.clock.Load()) }, Dir: dir, Version: "0.1.0",
	})
	if err != nil {
		t.Fatal(err)
	}
	s.disk.Bench = s.bench
	if s.Series, err = Open(Options{Bench: &s.disk, Dir: dir, Version: "0.1.0", Now: func() time.Time { return evening }}); err != nil {
		t.Fatal(err)
	}
	s.ear.events, s.events, s.wake = s.heard, make(chan event), make(chan struct{}) // see play
	ctx, cancel := context.WithCancel(context.Background())
	var lives sync.WaitGroup
	lives.Go(func() { s.bench.Run(ctx) })
	lives.Go(func() { s.Series.Run(ctx) })
	s.stop = sync.OnceFunc(func() { cancel(); lives.Wait() })
	t.Cleanup(s.stop)
	s.send(func(emit func(source.Event) bool) {
		emit(source.Event{Kind: source.Opened, At: s.end, Name: "virtual"})
	})
	return s
}

// script is the stage as a source.
type script struct{ *stage }

// Describe implements [source.Source].
func (s script) Describe() string { return "virtual bench" }

// Virtual implements [source.Source].
func (s script) Virtual() bool { return true }

// Run implements [source.Source]: it does what the test sends.
func (s script) Run(ctx context.Context, emit func(source.Event) bool) {
	for {
		select {
		case f := <-s.plays:
			f(emit)
			s.played <- struct{}{}
		case <-ctx.Done():
			return
		}
	}
}

// send does f on the source's goroutine.
func (s *stage) send(f func(emit func(source.Event) bool)) {
	s.plays <- f
	<-s.played
	s.settle()
}

// settle returns when the series has seen how things stand.
func (s *stage) settle() {
	for range 2 {
		s.wake <- struct{}{}
	}
}

// arm arms the series.
func (s *stage) arm(r trials.Rule, group string) {
	s.t.Helper()
	if err := s.Arm(r, group); err != nil {
		s.t.Fatal(err)
	}
	s.settle()
}

// play lets time pass, with the readings of the device.
func (s *stage) play(length time.Duration) {
	s.end += length
	s.send(func(emit func(source.Event) bool) {
		for {
			chunk, at, _ := s.device.Next()
			s.clock.Store(at)
			emit(source.Event{Kind: source.Bytes, At: time.Duration(at), Bytes: chunk})
			for len(s.heard) > 0 {
				s.events <- <-s.heard
				s.settle()
			}
			if time.Duration(at) >= s.end {
				return
			}
		}
	})
}

// await waits for something that takes the series time of its own.
func (s *stage) await(what string, is func(v View) bool) View {
	s.t.Helper()
	for deadline := time.Now().Add(20 * time.Second); time.Now().Before(deadline); time.Sleep(time.Millisecond) {
		s.settle()
		if v := s.View(); is(v) {
			return v
		}
	}
	s.t.Fatalf("%s does not come about: %+v", what, s.View())
	return View{}
}

// listed waits for so many trials in the list.
func (s *stage) listed(n int) []Trial {
	s.t.Helper()
	return s.await("a list of trials", func(v View) bool { return len(v.Trials) == n && v.Recording == "" }).Trials
}

// files lists files of the data folder.
func (s *stage) files(pattern string) []string {
	names, err := filepath.Glob(filepath.Join(s.dir, pattern))
	if err != nil {
		s.t.Fatal(err)
	}
	return names
}

func (s *stage) exists(name string) bool {
	_, err := os.Lstat(filepath.Join(s.dir, name))
	return err == nil
}

func injected(t testing.TB, specs ...string) []virtual.Injected {
	t.Helper()
	faults, err := virtual.ParseFaults(specs)
	if err != nil {
		t.Fatal(err)
	}
	return faults
}
