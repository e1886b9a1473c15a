package upkeep

import (
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/wire"
	"joulewell/energy"
)

// scene is a desk beside a cell on which a test hangs loads.
type scene struct {
	*Desk
	t   *testing.T
	rng *rand.Rand
	ns  int64
	now time.Time
}

const sceneZero, sceneSpan, sceneNoise = -18230.0, 1.204e-5, 25.0

func newScene(t *testing.T) *scene {
	t.Helper()
	f := severn(t)
	f.Calibration = filepath.Join(t.TempDir(), setup.Book)
	s := &scene{t: t, rng: rand.New(rand.NewPCG(31, 1)), now: on("2026-11-25").Add(19 * time.Hour)}
	f.Bench.Calibration.Force.Noise = sceneNoise * sceneSpan
	d, err := Open(f, func() time.Time { return s.now })
	if err != nil {
		t.Fatal(err)
	}
	s.Desk = d
	return s
}

// hang lets a load hang for so long, swinging by so much [counts].
func (s *scene) hang(load string, seconds, swing float64) {
	s.t.Helper()
	s.hangOff(load, seconds, swing, 0)
}

// hangOff does so on a cell whose zero is off [counts].
func (s *scene) hangOff(load string, seconds, swing, zeroOff float64) {
	s.t.Helper()
	f := s.File()
	c, err := NewCabinet(&f, nil)
	if err != nil {
		s.t.Fatal(err)
	}
	names, err := c.load(load)
	if err != nil {
		s.t.Fatal(err)
	}
	force, _ := c.set.Force(names)
	for range int(seconds * 80) {
		s.ns += 12_500_000
		var fr frame.Frame
		fr.T, fr.Epoch = s.ns, 1
		fr.Reading.Set(wire.LoadCounts, math.Round(sceneZero+zeroOff+force/sceneSpan+swing*math.Sin(9*float64(s.ns)*1e-9)+sceneNoise*s.rng.NormFloat64()))
		s.Hear([]frame.Frame{fr})
	}
}

func (s *scene) take(load string) error {
	return s.With(func(x *Session) error { return x.Take(Point{Load: load}) })
}

// A whole calibration at the bench: what swings is not taken, what was taken wrongly is
// taken back, and the bench goes by the result.
func TestSessionAtTheBench(t *testing.T) {
	s := newScene(t)
	if err := s.take("100 g"); !errors.Is(err, ErrNothing) {
		t.Errorf("taking without a session = %v", err)
	}
	if err := s.Begin(Force); err != nil {
		t.Fatal(err)
	}
	if err := s.Begin(Distance); !errors.Is(err, ErrBusy) {
		t.Errorf("a second session = %v", err)
	}
	if err := s.take(""); !errors.Is(err, ErrUnsteady) || !strings.Contains(err.Error(), "no readings of this sensor") {
		t.Errorf("taking without readings = %v", err)
	}
	ladder := []string{"none", "100.0 g", "200.0 g", "300.0 g", "200.0 g", "100.0 g", "none"}
	for i, load := range ladder {
		s.hang(load, 2, 0)
		if err := s.take(load); !errors.Is(err, ErrUnsteady) {
			t.Fatalf("taking %s after 2 s = %v, want not yet", load, err)
		}
		s.hang(load, 4, 0)
		if i == 2 {
			s.hang(load, 4, 4000)
			if err := s.take(load); !errors.Is(err, ErrUnsteady) || !strings.Contains(err.Error(), "moving") {
				t.Errorf("taking while it swings = %v", err)
			}
			s.hang(load, 5, 0)
			if err := s.take("250.0 g"); err != nil { // a slip of the hand
				t.Fatal(err)
			}
			s.With(func(x *Session) error {
				if x.Undo() != nil || len(x.Points()) != 2 {
					t.Errorf("after taking back %d points, want 2", len(x.Points()))
				}
				return nil
			})
			s.hang(load, 5, 0)
		}
		if err := s.take(load); err != nil {
			t.Fatal(err)
		}
		if err := s.take(load); !errors.Is(err, ErrUnsteady) {
			t.Errorf("the same rest taken twice = %v", err)
		}
	}
	if err := s.take("the red one"); err == nil || !strings.Contains(err.Error(), "no check mass called so") {
		t.Errorf("an unknown load = %v", err)
	}
	due := on("2027-05-01")
	f, err := s.Finish(Signing{By: "technician", Due: due})
	if err != nil {
		t.Fatal(err)
	}
	cell := &f.Bench.Calibration.Force
	if off := cell.Span.Value - sceneSpan; math.Abs(off) > 3*cell.Span.U || cell.Span.U == 0 || !cell.Date.Equal(s.now) {
		t.Errorf("span %+v of %v, want %g", cell.Span, cell.Date, sceneSpan)
	}
	if want := sceneNoise * sceneSpan; math.Abs(cell.Noise-want) > 0.1*want {
		t.Errorf("noise %g N, want %g N", cell.Noise, want)
	}
	book, err := Load(s.plain.Calibration)
	if err != nil || len(book) != 1 || book[0].By != "technician" || len(book[0].Points) != 7 || !book[0].Due.Equal(due) {
		t.Errorf("book %+v, %v", book, err)
	}
	if err := s.Abandon(); !errors.Is(err, ErrNothing) {
		t.Errorf("the session goes on: %v", err)
	}
}

func TestSessionRefusals(t *testing.T) {
	s := newScene(t)
	if err := s.Begin(Timing); err == nil || !strings.Contains(err.Error(), "from recorded swings") {
		t.Errorf("a session of timing = %v", err)
	}
	if err := s.Begin(Spring); err != nil {
		t.Fatal(err)
	}
	for want, p := range map[string]Point{
		"one of both":   {Load: "100 g"},
		"unit of mass":  {Load: "100 g", Rule: "12 kg"},
		"no check mass": {Load: "12", Rule: "120 mm"},
		"period: ":      {Load: "100 g", Period: "fast"},
	} {
		if err := s.With(func(x *Session) error { return x.Take(p) }); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("Take(%+v) = %v, want %q", p, err, want)
		}
	}
	if _, err := s.Finish(Signing{}); err == nil || !strings.Contains(err.Error(), "no points yet") {
		t.Errorf("finishing without points = %v", err)
	}
	if err := s.With(func(x *Session) error { return x.Take(Point{Load: "100 g", Rule: "150 mm"}) }); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Finish(Signing{}); err == nil || !strings.Contains(err.Error(), "too few") {
		t.Errorf("finishing with one point = %v", err)
	}
	if _, err := os.Stat(s.plain.Calibration); !os.IsNotExist(err) {
		t.Error("a book was begun for nothing")
	}
	if err := s.Abandon(); err != nil {
		t.Fatal(err)
	}
	without, err := Open(setup.Blank(), time.Now)
	if err != nil {
		t.Fatal(err)
	}
	if err := without.Begin(Force); !errors.Is(err, ErrNoBook) {
		t.Errorf("a calibration that nobody could keep = %v", err)
	}
}

// Echoes that were lost are no places, and a restart of the device is no rest.
func TestSessionOfDistance(t *testing.T) {
	s := newScene(t)
	if err := s.Begin(Distance); err != nil {
		t.Fatal(err)
	}
	say := func(mm float64, epoch uint32) {
		s.ns += 25_000_000
		var f frame.Frame
		f.T, f.Epoch = s.ns, epoch
		f.Reading.Set(wire.EchoUs, math.Round(mm/1e3/343.5*2e6+4*s.rng.NormFloat64()))
		if s.rng.IntN(10) == 0 {
			f.Reading.Set(wire.EchoUs, 0)
		}
		s.Hear([]frame.Frame{f})
	}
	for range 200 {
		say(400, 1)
	}
	say(400, 2)
	steady := func() (ok bool, noise float64) {
		s.With(func(x *Session) error {
			state, _ := x.Steadiness()
			ok, noise = state.Steady, state.Noise
			return nil
		})
		return ok, noise
	}
	if ok, _ := steady(); ok {
		t.Error("steady just after a restart")
	}
	for range 200 {
		say(400, 2)
	}
	if ok, noise := steady(); !ok || noise > 6 {
		t.Errorf("steady %v, noise %g us, with lost echoes between", ok, noise)
	}
	if err := s.With(func(x *Session) error { return x.Take(Point{Rule: "38.1 cm"}) }); err != nil {
		t.Fatal(err)
	}
	s.With(func(x *Session) error {
		p := x.Points()[0]
		want := energy.Estimate{Value: 0.4 / 343.5 * 2e6}
		if math.Abs(p.Reading.Value-want.Value) > 2 || p.Rule != "38.1 cm" {
			t.Errorf("point %+v, want about %g us", p, want.Value)
		}
		return nil
	})
}

// hands notes what a technician was told.
type hands struct {
	height, load float64
	left         bool
}

func (h *hands) Set(height, load float64) { *h = hands{height: height, load: load} }
func (h *hands) Leave()                   { h.left = true }

func TestTechnician(t *testing.T) {
	s := newScene(t)
	if err := s.Arrange(Point{Load: "100 g"}); !errors.Is(err, ErrNoTechnician) {
		t.Errorf("a real bench obeys: %v", err)
	}
	var h hands
	s.Employ(&h)
	for _, c := range []struct {
		kind         Kind
		p            Point
		height, load float64
	}{{Force, Point{Load: "100.0 g"}, 0, 0.1 * 9.8142 * (1 - 1.2/8000)}, {Distance, Point{Rule: "31 cm"}, 0.31, 0}} {
		if err := s.Begin(c.kind); err != nil {
			t.Fatal(err)
		}
		if err := s.Arrange(c.p); err != nil {
			t.Fatal(err)
		}
		if c.height > 0 && math.Abs(h.height-c.height) > 1e-9 || c.load > 0 && math.Abs(h.load-c.load) > 1e-4 {
			t.Errorf("%s: the technician was told %+v", c.kind, h)
		}
		if err := s.Arrange(Point{Load: "no", Rule: "no"}); err == nil {
			t.Errorf("%s: nonsense is hung", c.kind)
		}
		if err := s.Abandon(); err != nil || !h.left {
			t.Errorf("%s: the technician stays: %v", c.kind, err)
		}
	}
}
