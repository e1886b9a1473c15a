package analysis

import (
	"io"
	"math"
	"math/rand/v2"
	"syscall"
	"testing"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
)

// hour is a lesson at 1000 readings a second, kept small: half a minute from release to
// release, each row a distance and a force.
type hour struct {
	mm, counts []float32
	next       int
}

const (
	perSecond = 1000
	drop      = 30 * perSecond // rows from release to release
)

// lesson makes n rows of a bench with half a millimetre of noise.
func lesson(n int) *hour {
	rng := rand.New(rand.NewPCG(8, 8))
	h := &hour{mm: make([]float32, n), counts: make([]float32, n)}
	for i := range n {
		at := float64(i%drop) / perSecond
		x := 0.098 // of the middle, upward
		switch t := at - 1; {
		case t > 27: // carried back
			x *= math.Exp(-0.03*27) + (1-math.Exp(-0.03*27))*math.Min(1, (t-27)/1.5)
		case t > 0:
			x *= math.Exp(-0.03*t) * math.Cos(9.956*t)
		}
		h.mm[i] = float32(1e3 * (0.69 + x + 5e-4*rng.NormFloat64()))
		h.counts[i] = float32((2.5 - 25*x + 5e-4*rng.NormFloat64()) / 1.1837e-5)
	}
	return h
}

func (h *hour) Next(f *frame.Frame) error {
	if h.next == len(h.mm) {
		return io.EOF
	}
	f.T, f.Epoch = int64(h.next)*1e9/perSecond, 1
	f.Reading.Set(wire.RangeMm, float64(h.mm[h.next]))
	f.Reading.Set(wire.LoadCounts, float64(h.counts[h.next]))
	h.next++
	return nil
}

// processorTime is this process's time on the processor, which a busy machine disturbs less
// than the time on the wall.
func processorTime(b *testing.B) time.Duration {
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

// BenchmarkHour is an hour of readings, 3.6 million rows with 120 drops, from memory to
// closed books. The floor beside it is what nobody can do without: a look at each row.
func BenchmarkHour(b *testing.B) {
	h := lesson(3600 * perSecond)
	setup := virtual.Setup(virtual.Quiet(perSecond))
	for _, c := range []struct {
		name string
		work func()
	}{
		{"analysis", func() {
			run, err := Analyse(h, &setup, Options{})
			if err != nil {
				b.Fatal(err)
			}
			if len(run.Swings) != 120 || len(run.Swings[7].Record) < 70 {
				b.Fatalf("%d swings, %d turning points in the eighth", len(run.Swings), len(run.Swings[7].Record))
			}
		}},
		{"floor", func() {
			if _, err := read(h, &setup.Calibration); err != nil {
				b.Fatal(err)
			}
		}},
	} {
		b.Run(c.name, func(b *testing.B) {
			begun := processorTime(b)
			for b.Loop() {
				h.next = 0
				c.work()
			}
			b.ReportMetric((processorTime(b)-begun).Seconds()/float64(b.N), "core-s/hour")
		})
	}
}
