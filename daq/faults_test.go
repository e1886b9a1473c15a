package daq

import (
	"log/slog"
	"math"
	"path/filepath"
	"testing"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/virtual"
)

// Whatever goes wrong on the bench, a run recorded meanwhile comes out the same when it
// is worked out again from its own raw columns.
func TestRunsComeOutTheSameUnderEveryFault(t *testing.T) {
	for _, fault := range virtual.Faults() {
		t.Run(fault.Name, func(t *testing.T) {
			config := virtual.Default()
			config.Seed = 11
			var err error
			if config.Faults, err = virtual.ParseFaults([]string{fault.Name}); err != nil {
				t.Fatal(err)
			}
			device, err := virtual.New(config)
			if err != nil {
				t.Fatal(err)
			}
			b := virtual.Setup(config)
			now := time.Duration(0)
			bn, err := New(Options{
				Setup: &b, Source: idle{}, Dir: t.TempDir(), Log: slog.New(slog.DiscardHandler),
				Clock: func() time.Duration { return now }, Device: setup.Device{RequireChecksum: true},
			})
			if err != nil {
				t.Fatal(err)
			}
			bn.handle(&source.Event{Kind: source.Opened})
			feed := func(until time.Duration) {
				for now < until {
					chunk, at, ok := device.Next()
					if !ok {
						t.Fatal("the device has ended")
					}
					now = time.Duration(at)
					bn.handle(&source.Event{Kind: source.Bytes, At: now, Bytes: chunk})
				}
			}
			feed(6 * time.Second)
			meta := runfile.Meta{Setup: b}
			recorder, err := runfile.Create(bn.dir, "run", meta, runfile.Options{})
			if err != nil {
				t.Fatal(err)
			}
			bn.attach(recorder, meta, math.MaxInt64)
			feed(16 * time.Second)
			ended := bn.detach()
			if _, err := bn.conclude(&ended); err != nil {
				t.Fatal(err)
			}
			run, err := runfile.Open(filepath.Join(bn.opt.Dir, "run.csv"))
			if err != nil {
				t.Fatal(err)
			}
			defer run.Close()
			c, err := Compare(run, run.Meta(), func(*frame.Frame) {})
			if err != nil {
				t.Fatal(err)
			}
			if c.Differing > 0 || c.Rows < 100 && fault.Name != "no-fields" && fault.Name != "freeze" {
				t.Errorf("%d of %d rows come out differently, the first is row %d, column %s", c.Differing, c.Rows, c.First, c.Column)
			}
		})
	}
}
