package series

import (
	"fmt"
	"io/fs"
	"os"
	"testing"
	"time"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/daq/virtual"
	"joulewell/energy"
)

// BenchmarkList opens a folder of 1000 kept trials; the floor reads their files.
func BenchmarkList(b *testing.B) {
	s := newStage(b, tamar())
	s.arm(five, "")
	s.play(6 * time.Second)
	s.listed(1)
	s.stop()
	root, err := os.OpenRoot(s.dir)
	if err != nil {
		b.Fatal(err)
	}
	defer root.Close()
	one, _ := kept.List(root)
	for i := range 1000 {
		k := one[0]
		k.Run = fmt.Sprintf("trial-%d", i)
		if err := kept.Write(root, k); err != nil {
			b.Fatal(err)
		}
	}
	bench := s.bench
	b.Run("list", func(b *testing.B) {
		for b.Loop() {
			x, err := Open(Options{Bench: bench, Dir: s.dir})
			if err != nil || len(x.lists) != 1001 {
				b.Fatal(err)
			}
			x.dir.Close()
		}
	})
	b.Run("floor", func(b *testing.B) {
		for b.Loop() {
			entries, err := fs.ReadDir(root.FS(), ".")
			if err != nil {
				b.Fatal(err)
			}
			for _, e := range entries {
				if _, err := root.ReadFile(e.Name()); err != nil {
					b.Fatal(err)
				}
			}
		}
	})
}

// BenchmarkHear is what the watch costs a reading on the bench's goroutine; the floor is
// an ear that watches nothing.
func BenchmarkHear(b *testing.B) {
	setup := virtual.Setup(tamar())
	known := func(v float64) energy.Estimate { return energy.Estimate{Value: v, U: 1e-3} }
	f := frame.Frame{Epoch: 1, Height: known(0.6), Velocity: known(0), Force: known(2.5)}
	status := &daq.Status{Setup: &setup}
	for _, armed := range []bool{true, false} {
		b.Run(map[bool]string{true: "armed", false: "floor"}[armed], func(b *testing.B) {
			e := ear{status: func() *daq.Status { return status }, events: make(chan event, 64)}
			if armed {
				w, err := trials.NewWatcher(&setup, five)
				if err != nil {
					b.Fatal(err)
				}
				e.anew.Store(&watch{setup: &setup, rule: five, watcher: w})
			}
			batch := daq.Batch{Frames: []frame.Frame{f}}
			b.ReportAllocs()
			for b.Loop() {
				batch.Frames[0].T += 8_000_000
				e.hear(batch)
			}
		})
	}
}
