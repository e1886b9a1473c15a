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

// known is a bench that people know as well as they say, each time in another way.
func known(seed uint64) virtual.Config {
	c := virtual.Default()
	c.Seed, c.Known.Perturbed, c.Hand.Period = seed, true, 0
	return c
}

func near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.2g", what, got, want, tol)
	}
}

func TestLook(t *testing.T) {
	for _, c := range []virtual.Config{known(1), virtual.Default(), virtual.Quiet(1000), virtual.Lossless()} {
		secs := 15.0
		if c.Hand.Period > 0 {
			secs = 65
		}
		r, b, rig := record(t, c, secs)
		run, err := Analyse(r, b, Options{})
		if err != nil {
			t.Error(err)
			continue
		}
		t.Logf("%s noise %g half %g counts %+v notes %q delay %+v", c.Name, run.Noise, run.HalfWidth, run.Counts, run.Notes, run.Delay)
		for _, s := range run.Swings {
			t.Logf("%.3f..%.3f held %.3f..%.3f period %v kin %+v rows %d record %d notes %q", s.From, s.To, s.HeldFrom, s.HeldTo, s.Period, s.Kinetic, len(s.Rows), len(s.Record), s.Notes)
			for i, p := range s.Turns {
				if i < 3 || i > len(s.Turns)-3 {
					tr := rig.At(nanoseconds(p.T.Value))
					t.Logf("   turn %v idx %d x %.5f+-%.5f true %.5f  E %.5f+-%.5f true %.5f", p.T, p.Index, p.Extension.Value, p.Extension.U, tr.Extension, p.Energies.Total.Value, p.Energies.Total.U, tr.Mechanical())
				}
			}
			t.Logf("whole: %s; %+v residual %v", s.Whole.Sentence, s.Whole.Accounts, s.Whole.Residual)
			t.Logf("row0: %s", s.Rows[0].Sentence)
			if s.Loops != nil {
				t.Logf("loops per cycle %v n=%d skipped %d", s.Loops.PerCycle, len(s.Loops.Loops), s.Loops.Skipped)
			}
			a, z := rig.At(nanoseconds(s.Whole.From)), rig.At(nanoseconds(s.Whole.To))
			t.Logf("true loss %.6f: visc %.6f quad %.6f slid %.6f int %.6f", z.Lost.Sum()-a.Lost.Sum(), z.Lost.Viscous-a.Lost.Viscous, z.Lost.Quadratic-a.Lost.Quadratic, z.Lost.Sliding-a.Lost.Sliding, z.Lost.Internal-a.Lost.Internal)
		}
	}
}
