// Package rehearsal is for tests of what is made of recorded trials: it answers what the
// run files of a class would be. In: simulated benches. Out: run files in a folder, each a
// trial played at the speed of the machine. What it records is marked as simulated.
package rehearsal

import (
	"fmt"
	"os"
	"time"

	"joulewell/daq"
	"joulewell/daq/runfile"
	"joulewell/daq/virtual"
)

// Bench is the virtual bench of this name and seed, with few coils, so that a trial takes
// a tenth of a second. The seed is of the noise; benches differ by what change does.
func Bench(name string, seed uint64, change func(*virtual.Config)) virtual.Config {
	c := virtual.Default()
	c.Name, c.Seed, c.Spring.Coils, c.Hand.Period = name, seed, 3, 0
	if change != nil {
		change(&c)
	}
	return c
}

// Record plays so many seconds of a bench into the run called name in dir.
func Record(dir *os.Root, name, note string, c virtual.Config, length float64, created time.Time) error {
	device, err := virtual.New(c)
	if err != nil {
		return fmt.Errorf("rehearse %s: %w", name, err)
	}
	meta := runfile.Meta{Created: created, Note: note, Setup: virtual.Setup(c), Source: "rehearsal", Virtual: true, Software: "rehearsal"}
	deriver, err := daq.NewDeriver(&meta.Setup)
	if err != nil {
		return fmt.Errorf("rehearse %s: %w", name, err)
	}
	recorder, err := runfile.Create(dir, name, meta, runfile.Options{Limit: 256 << 20})
	if err != nil {
		return fmt.Errorf("rehearse %s: %w", name, err)
	}
	done := false
	device.Watch(func(m *virtual.Sample) {
		if done = float64(m.At)*1e-9 >= length; done {
			return
		}
		frames := deriver.Push(&daq.Timed{T: m.At, Epoch: 1, Reading: m.Reading})
		for i := range frames {
			recorder.Append(&frames[i])
		}
	})
	for !done {
		device.Next()
	}
	frames := deriver.Flush()
	for i := range frames {
		recorder.Append(&frames[i])
	}
	return recorder.Close(meta)
}
