package main

import (
	"bufio"
	"context"
	"encoding/json"
	"log/slog"
	"net"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"joulewell/daq"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/virtual"
	"joulewell/webui"
)

// stopwatch notes the longest time between two calls.
type stopwatch struct {
	last    time.Time
	longest time.Duration
	over    int // [1] times longer than 100 ms
}

func (s *stopwatch) lap() {
	now := time.Now()
	if gap := now.Sub(s.last); !s.last.IsZero() {
		s.longest = max(s.longest, gap)
		if gap > 100*time.Millisecond {
			s.over++
		}
	}
	s.last = now
}

// TestSoakWithACrowd lets 300 viewers watch a daemon that reads a pseudo-terminal and
// records, for 20 minutes: its memory stays, nothing leaks, no reading is lost and the
// recorder never waits 100 ms for the next frame. A bare clock beside it tells how long
// the machine itself lets a program wait: on a busy one, put chrt -r 1 before it.
func TestSoakWithACrowd(t *testing.T) {
	if testing.Short() {
		t.Skip("short: no crowd")
	}
	length := time.Duration(soakShare(t) * float64(20*time.Minute))
	dir := t.TempDir()
	link := filepath.Join(dir, "bench")
	start(t, "virtual", "--link", link, "--seed", "9").line(link)
	clock := source.NewClock()
	serial, err := source.NewSerial(source.SerialOptions{Port: link, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	b := virtual.Setup(virtual.Default())
	bench, err := daq.New(daq.Options{
		Setup: &b, Source: serial, Clock: clock, Dir: filepath.Join(dir, "runs"),
		Log: slog.New(slog.DiscardHandler), Device: setup.Device{RequireChecksum: true},
	})
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	server, err := webui.New(webui.Options{Bench: bench, Listen: listener.Addr().String(), Well: bench.Well})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	var living sync.WaitGroup
	living.Go(func() {
		if err := bench.Run(ctx); err != nil {
			t.Error(err)
		}
	})
	living.Go(func() {
		if err := server.Serve(ctx, listener); err != nil {
			t.Error(err)
		}
	})
	defer living.Wait()
	defer cancel()

	viewers := program(t)
	viewers.Env = append(os.Environ(), asCrowd+"=http://"+listener.Addr().String()+"/")
	viewers.Stderr = os.Stderr
	enough, err := viewers.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	said, err := viewers.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := viewers.Start(); err != nil {
		t.Fatal(err)
	}
	hear := bufio.NewScanner(said)
	if !hear.Scan() || hear.Text() != "watching" {
		t.Fatalf("the crowd said %q", hear.Text())
	}
	for limit := time.Now().Add(20 * time.Second); !bench.Status().Fresh; time.Sleep(20 * time.Millisecond) {
		if time.Now().After(limit) {
			t.Fatalf("no readings: %+v", bench.Status())
		}
	}
	if _, err := bench.StartRun("soak"); err != nil {
		t.Fatal(err)
	}
	before := bench.Status()

	var recorder, bare stopwatch
	stopListening := bench.Listen(func(b daq.Batch) {
		if len(b.Frames) > 0 {
			recorder.lap()
		}
	})
	stopped := make(chan struct{})
	living.Go(func() {
		for tick := time.NewTicker(5 * time.Millisecond); ; {
			select {
			case <-tick.C:
				bare.lap()
			case <-stopped:
				tick.Stop()
				return
			}
		}
	})
	var heap, resident []float64
	var goroutines, descriptors int
	end := time.After(length)
	sample := time.NewTicker(max(length/480, 100*time.Millisecond))
	defer sample.Stop()
	for going := true; going; {
		select {
		case <-sample.C:
			now := memoryNow(t)
			heap, resident = append(heap, now.heap), append(resident, now.resident)
			if goroutines == 0 { // all viewers have been seated by now
				goroutines, descriptors = runtime.NumGoroutine(), openFiles(t)
			}
		case <-end:
			going = false
		}
	}
	stopListening()
	close(stopped)
	if n, m := runtime.NumGoroutine(), openFiles(t); n > goroutines || m > descriptors {
		t.Errorf("%d goroutines and %d descriptors, there were %d and %d", n, m, goroutines, descriptors)
	}
	after := bench.Status()
	run, err := bench.StopRun()
	if err != nil || run.Lost > 0 || run.Trouble != "" {
		t.Errorf("run %+v, %v", run, err)
	}
	if kept, read := run.Rows, after.Lines.Accepted-before.Lines.Accepted; kept < read || after.Opens != before.Opens || after.Misplaced != before.Misplaced {
		t.Errorf("%d rows of %d readings; opened %d times, %d misplaced", kept, read, after.Opens, after.Misplaced-before.Misplaced)
	}
	enough.Close()
	var seen watched
	if !hear.Scan() || json.Unmarshal(hear.Bytes(), &seen) != nil || viewers.Wait() != nil {
		t.Fatalf("the crowd said %q", hear.Text())
	}
	if seen.Cut > 0 {
		t.Errorf("%d viewers were cut off", seen.Cut)
	}
	t.Logf("%v, %d rows; longest wait for a frame at the recorder %v (%d over 100 ms), of a bare clock of 5 ms %v (%d)",
		length, run.Rows, recorder.longest.Round(time.Millisecond), recorder.over, bare.longest.Round(time.Millisecond), bare.over)
	t.Logf("%d viewers got %d messages; longest silence %.0f ms, of the median viewer %.0f ms", seen.Viewers, seen.Messages, seen.Worst, seen.Usual)
	if length >= time.Minute && recorder.over > 0 { // seconds on a busy machine say nothing
		t.Errorf("the recorder waited %v for a frame", recorder.longest)
	}
	flat(t, "live heap", heap, 1<<20)
	flat(t, "resident memory", resident, 16<<20)
}

// openFiles counts this process's descriptors.
func openFiles(t *testing.T) int {
	t.Helper()
	all, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		t.Fatal(err)
	}
	return len(all)
}
