package analysis

import (
	"io"
	"math"
	"testing"

	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/virtual"
)

// rows of a run in memory.
type rows struct {
	frames []frame.Frame
	next   int
}

func (r *rows) Next(f *frame.Frame) error {
	if r.next == len(r.frames) {
		return io.EOF
	}
	*f = r.frames[r.next]
	r.next++
	return nil
}

// record plays a virtual bench for so many seconds and returns its rows, what people know
// of it, and a rig that knows the truth.
func record(t testing.TB, c virtual.Config, seconds float64) (*rows, *setup.Bench, *virtual.Rig) {
	t.Helper()
	device, err := virtual.New(c)
	if err != nil {
		t.Fatal(err)
	}
	r := &rows{}
	device.Watch(func(s *virtual.Sample) {
		r.frames = append(r.frames, frame.Frame{T: s.At, Epoch: uint32(s.Boot), Reading: s.Reading})
	})
	for len(r.frames) == 0 || r.frames[len(r.frames)-1].T < int64(seconds*1e9) {
		device.Next()
	}
	rig, err := virtual.NewRig(c)
	if err != nil {
		t.Fatal(err)
	}
	b := virtual.Setup(c)
	return r, &b, rig
}

// coils of the simulated springs: a dozen carry the same waves as forty, but for the
// shortest, at a tenth of the time.
const coils = 12

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g", what, got, want, tol)
	}
}

// repeats returns how often a statistical test is to be repeated: in full, or fewer times
// with -short and under the race detector.
func repeats(full int) int {
	switch {
	case raced:
		return max(10, full/10)
	case testing.Short():
		return max(20, full/5)
	}
	return full
}
