package upkeep

import (
	"context"
	"log/slog"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"joulewell/calib/drift"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/wire"
	"joulewell/energy"
)

// Checks by a mass and by the empty cell are kept, judged by the calibration that counts,
// and a cell that has moved is to be calibrated anew.
func TestChecksOfTheCell(t *testing.T) {
	s := newScene(t)
	check := func(zeroOff float64) {
		t.Helper()
		if err := s.Begin(Force); err != nil {
			t.Fatal(err)
		}
		for _, load := range []string{"none", "200.00 g"} {
			s.hangOff(load, 6, 0, zeroOff)
			if err := s.take(load); err != nil {
				t.Fatal(err)
			}
		}
		records, err := s.KeepChecks("after the class")
		if err != nil || len(records) != 2 || records[0].What != drift.Zero || records[1].Standard != "200.00 g" {
			t.Fatalf("records %+v, %v", records, err)
		}
		s.now = s.now.Add(24 * time.Hour)
	}
	judged := func() map[drift.What]Checked {
		t.Helper()
		list, err := s.Checked(Force)
		if err != nil {
			t.Fatal(err)
		}
		out := map[drift.What]Checked{}
		for _, c := range list {
			out[c.What] = c
		}
		return out
	}
	check(0)
	if c := judged()[drift.Mass]; c.Verdict != nil || !strings.Contains(c.NotYet, "at least") {
		t.Errorf("a verdict after one record: %+v", c)
	}
	for range 8 {
		check(0)
	}
	for what, c := range judged() {
		if c.Verdict == nil || c.Verdict.State != drift.InControl || c.Trend == nil || len(c.History.Records) != 9 {
			t.Errorf("%s of a cell that stays: %+v (%s)", what, c.Verdict, c.NotYet)
		}
		if ref := c.History.Records[0].Reference; what == drift.Mass && (math.Abs(ref.Value-0.2*9.8142) > 1e-3 || !(ref.U > 0)) {
			t.Errorf("reference %+v, want the weight of 200 g", ref)
		}
	}
	for range 4 {
		check(2000) // counts: 24 mN
	}
	for what, c := range judged() {
		if c.Verdict == nil || c.Verdict.State != drift.Recalibrate || !strings.Contains(c.Verdict.Reason, "beyond the") {
			t.Errorf("%s of a cell whose zero is off: %+v (%s)", what, c.Verdict, c.NotYet)
		}
	}
	if list, err := s.Checked(Distance); err != nil || len(list) != 0 {
		t.Errorf("checks of the ranging sensor = %v, %v", list, err)
	}
	if _, err := s.Checked(Spring); err == nil {
		t.Error("a spring was checked by a standard")
	}
	// A new calibration begins a new chart.
	if _, err := s.Keep(Entry{Kind: Force, AsLeft: map[string]any{"force_zero_counts": sceneZero + 2000}}, Signing{}); err != nil {
		t.Fatal(err)
	}
	if len(judged()) != 0 {
		t.Error("checks from before a calibration are still charted")
	}
}

// A record that the power cut tore in two hides no other and keeps none out: what is left
// of it is kept aside.
func TestTornCheckBook(t *testing.T) {
	s := newScene(t)
	check := func() {
		t.Helper()
		if err := s.Begin(Force); err != nil {
			t.Fatal(err)
		}
		s.hangOff("none", 6, 0, 0)
		if err := s.take("none"); err != nil {
			t.Fatal(err)
		}
		if _, err := s.KeepChecks(""); err != nil {
			t.Fatal(err)
		}
		s.now = s.now.Add(24 * time.Hour)
	}
	records := func() int {
		t.Helper()
		list, err := s.Checked(Force)
		if err != nil || len(list) != 1 {
			t.Fatalf("checked %v, %v", list, err)
		}
		return len(list[0].History.Records)
	}
	check()
	book := filepath.Join(filepath.Dir(s.File().Calibration), forceChecks)
	text, err := os.ReadFile(book)
	if err != nil {
		t.Fatal(err)
	}
	const torn = "2026-11-2"
	if err := os.WriteFile(book, append(text, torn...), 0o644); err != nil {
		t.Fatal(err)
	}
	if n := records(); n != 1 {
		t.Errorf("%d records beside a torn one, want 1", n)
	}
	check()
	if n := records(); n != 2 {
		t.Errorf("%d records after another, want 2", n)
	}
	if left, err := os.ReadFile(book + ".torn"); err != nil || string(left) != torn+"\n" {
		t.Errorf("kept aside %q, %v", left, err)
	}
}

// idle plays hours of a bench at rest at ten readings a second of each sensor.
func (s *scene) idle(hours, zeroOff, velocity float64) {
	f := s.File()
	a := &f.Bench.Apparatus
	weight := (a.Bob.Mass.Value + a.Spring.Mass.Value) * a.Gravity.Value
	height := a.Height(a.Equilibrium())
	batch := make([]frame.Frame, 1)
	for range int(hours * 36000) {
		s.ns += 100_000_000
		fr := &batch[0]
		*fr = frame.Frame{T: s.ns, Epoch: 1,
			Velocity: energy.Estimate{Value: velocity + 0.003*s.rng.NormFloat64(), U: 0.003},
			Distance: energy.Estimate{Value: height - f.Bench.Calibration.Distance.Offset.Value + 1e-3*s.rng.NormFloat64(), U: 1e-3},
		}
		fr.Reading.Set(wire.LoadCounts, math.Round(sceneZero+zeroOff+weight/sceneSpan+sceneNoise*s.rng.NormFloat64()))
		s.Hear(batch)
	}
}

// A bench left alone overnight: the level is learnt, a zero that walks is seen, and what
// was seen is written down; a bench on which somebody works is not looked at.
func TestIdleBenchIsWatched(t *testing.T) {
	s := newScene(t)
	ctx, cancel := context.WithCancel(t.Context())
	done := make(chan struct{})
	go func() { defer close(done); s.Run(ctx, slog.New(slog.DiscardHandler)) }()
	defer func() { cancel(); <-done }()
	s.idle(1, 0, 0.5)
	if last, _ := s.Watched(); len(last) != 0 {
		t.Errorf("a bench in motion was recorded: %+v", last)
	}
	s.idle(8, 0, 0)
	last, signals := s.Watched()
	if len(last) != 2 || last[0].Rest.State != drift.InControl || last[1].Rest.State != drift.InControl || signals[Force]+signals[Distance] > 0 {
		t.Errorf("a bench that stays: %+v, %v", last, signals)
	}
	s.idle(2, 2000, 0) // counts: 24 mN
	last, signals = s.Watched()
	if last[0].Kind != Force || last[0].Rest.State != drift.Recalibrate || signals[Force] == 0 || math.Abs(last[0].Rest.Moved-0.0241) > 2e-3 {
		t.Errorf("a zero that walked: %+v, %v", last[0], signals)
	}
	if last[1].Rest.State != drift.InControl {
		t.Errorf("the ranging sensor: %+v", last[1])
	}
	folder := filepath.Dir(s.plain.Calibration)
	for deadline := time.Now().Add(10 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		text, _ := os.ReadFile(filepath.Join(folder, "rests_N.csv"))
		if n := strings.Count(string(text), "bob at rest"); n >= 3 {
			break
		}
		if time.Now().After(deadline) {
			t.Fatalf("nothing was written down:\n%s", text)
		}
	}
}

func BenchmarkHear(b *testing.B) {
	f, err := setup.Load("../../testdata/benches/severn.toml")
	if err != nil {
		b.Fatal(err)
	}
	f.Calibration = filepath.Join(b.TempDir(), setup.Book)
	d, err := Open(f, time.Now)
	if err != nil {
		b.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	batch := make([]frame.Frame, 1)
	batch[0].Distance, batch[0].Velocity = energy.Estimate{Value: 0.4, U: 1e-3}, energy.Estimate{U: 1e-3}
	b.ReportAllocs()
	for b.Loop() {
		batch[0].T += 1_000_000
		batch[0].Reading.Set(wire.LoadCounts, 180000+10*rng.NormFloat64())
		d.Hear(batch)
	}
}
