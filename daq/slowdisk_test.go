package daq

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"testing/synctest"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/virtual"
)

// slowDisk is a folder on a disk that takes its time to make anything last.
type slowDisk struct {
	root  *os.Root
	takes time.Duration
}

type slowFile struct {
	*os.File
	takes time.Duration
}

func (d slowDisk) Create(name string) (runfile.File, error) {
	f, err := d.root.OpenFile(name, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o644)
	return slowFile{f, d.takes}, err
}
func (d slowDisk) Rename(from, to string) error { return d.root.Rename(from, to) }
func (d slowDisk) Remove(name string) error     { return d.root.Remove(name) }
func (d slowDisk) Sync() error                  { time.Sleep(d.takes); return nil }
func (f slowFile) Sync() error                  { time.Sleep(f.takes); return f.File.Sync() }

// Every fsync takes two seconds: whoever watches sees every frame in its time, the status
// goes on, and the run is whole, also while it is being closed. The clock is a fake one.
func TestSlowDiskHoldsNobodyUp(t *testing.T) {
	path := t.TempDir()
	root, err := os.OpenRoot(path)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	config := virtual.Default()
	device, err := virtual.New(config)
	if err != nil {
		t.Fatal(err)
	}
	b := virtual.Setup(config)
	var ended Recording
	synctest.Test(t, func(t *testing.T) {
		clock := source.NewClock()
		bn, err := New(Options{
			Setup: &b, Clock: clock, Dir: path, Device: setup.Device{RequireChecksum: true},
			Source: source.NewVirtual(device, source.PlayOptions{Name: "virtual", Speed: 1, Clock: clock}),
			Record: runfile.Options{Disk: slowDisk{root, 2 * time.Second}},
		})
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		over := make(chan error, 1)
		go func() { over <- bn.Run(ctx) }()
		time.Sleep(6 * time.Second)
		var last, longest time.Duration
		stop := bn.Listen(func(batch Batch) {
			now := clock()
			if len(batch.Frames) > 0 {
				if last > 0 {
					longest = max(longest, now-last)
				}
				last = now
			}
		})
		if _, err := bn.StartRun(""); err != nil {
			t.Fatal(err)
		}
		stale := time.Duration(0)
		enough, watched := make(chan struct{}), make(chan struct{})
		go func() {
			defer close(watched)
			ticker := time.NewTicker(90 * time.Millisecond)
			defer ticker.Stop()
			for {
				select {
				case <-ticker.C:
					stale = max(stale, clock()-bn.Status().Now)
				case <-enough:
					return
				}
			}
		}()
		time.Sleep(10 * time.Second)
		closing := clock()
		if ended, err = bn.StopRun(); err != nil || ended.Lost > 0 || ended.Trouble != "" {
			t.Errorf("run %+v, %v", ended, err)
		}
		if took := clock() - closing; took < 4*time.Second || took > 12*time.Second {
			t.Errorf("closing took %v, want some fsyncs of 2 s", took)
		}
		stop()
		close(enough)
		<-watched
		if longest > 100*time.Millisecond || stale > statusEvery {
			t.Errorf("no frame for %v, no status for %v", longest, stale)
		}
		cancel()
		if err := <-over; err != nil {
			t.Error(err)
		}
	})
	run, err := runfile.Open(filepath.Join(path, ended.Name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer run.Close()
	c, err := Compare(run, run.Meta(), func(*frame.Frame) {})
	if err != nil || c.Differing > 0 || uint64(c.Rows) != ended.Rows || c.Rows < 1300 {
		t.Errorf("%+v of %d, %v", c, ended.Rows, err)
	}
}
