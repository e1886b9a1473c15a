package drift

import (
	"math"
	"math/rand/v2"
	"testing"

	"joulewell/calib/drift/allan"
	"joulewell/calib/drift/chart"
)

// four is a plan with a record of four readings, one a second.
var four = WatchPlan{Dwell: 3, Settle: 0, Gap: 1.5, Baseline: 20, Charts: chart.Usual, Needed: 2}

func mustWatch(t testing.TB, p WatchPlan) *ZeroWatch {
	t.Helper()
	w, err := NewZeroWatch(p)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

const second = int64(1e9)

func TestRecordOfARest(t *testing.T) {
	w := mustWatch(t, four)
	var all []Rest
	for i := range int64(40) {
		if r, ok := w.Add(i*second, 1e6+float64(i%2), true); ok {
			all = append(all, r)
		}
	}
	if len(all) != 10 {
		t.Fatalf("%d records of 40 readings, want 10", len(all))
	}
	for i, r := range all {
		if r.Readings != 4 || r.From != int64(4*i)*second || r.To != int64(4*i+3)*second || r.Mean.Value != 1e6+0.5 {
			t.Errorf("record %d: %+v", i, r)
		}
	}
}

// White noise of standard deviation 3: the mean of 64 readings is uncertain by 3/8.
func TestUncertaintyOfTheMean(t *testing.T) {
	p := four
	p.Dwell = 63
	w := mustWatch(t, p)
	r := rand.New(rand.NewPCG(21, 21))
	var last Rest
	for i := range int64(64 * 60) {
		if one, ok := w.Add(i*second, 5+3*r.NormFloat64(), true); ok {
			last = one
		}
	}
	near(t, "uncertainty", last.Mean.U, 3.0/8, 0.08) // 59 differences tell it within 10 %
	p.Dwell = 47                                     // 48 readings: between two octaves
	w = mustWatch(t, p)
	for i := range int64(48 * 90) {
		if one, ok := w.Add(i*second, 5+3*r.NormFloat64(), true); ok {
			last = one
		}
	}
	near(t, "uncertainty between octaves", last.Mean.U, 3/math.Sqrt(48), 0.08)
	noise, err := w.Noise(1)
	if err != nil || len(noise) < 10 {
		t.Fatalf("%d octaves, %v", len(noise), err)
	}
	near(t, "noise of one reading", noise[0].Value, 3, 0.15)
}

// Of one dwell of 64 readings, octaves up to four readings are seen often enough (15 times;
// eight readings only 7 times): the uncertainty is taken from there.
func TestUncertaintyOfTheFirstRecord(t *testing.T) {
	p := four
	p.Dwell = 63
	w := mustWatch(t, p)
	r := rand.New(rand.NewPCG(23, 23))
	for i := range int64(64) {
		one, ok := w.Add(i*second, r.NormFloat64(), true)
		if !ok {
			continue
		}
		noise, err := w.Noise(1)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "uncertainty", one.Mean.U, noise[2].Value, 0)
		return
	}
	t.Error("no record of 64 readings")
}

// A bench that never rests gives no record, however short it settles.
func TestNoRecordInMotion(t *testing.T) {
	w := mustWatch(t, four)
	for i := range int64(40) {
		if r, ok := w.Add(i*second, 1, false); ok {
			t.Fatalf("a record in motion: %+v", r)
		}
	}
}

// What the sensor showed before a motion is not compared with what it shows after.
func TestMotionIsNoNoise(t *testing.T) {
	w := mustWatch(t, four)
	for i := range int64(129) {
		w.Add(i*second, float64(i%2)+1000*float64(i/65), i != 64)
	}
	noise, err := w.Noise(1)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "noise of one reading", noise[0].Value, math.Sqrt(0.5), 1e-9)
	near(t, "of two", noise[1].Value, 0, 1e-9)
}

// Motion, silence and a clock set back each drop the record begun and make the watch wait
// until the bench has settled; an absent reading does nothing.
func TestInterruptions(t *testing.T) {
	p := four
	p.Settle = 5
	for name, disturb := range map[string]func(w *ZeroWatch, t int64) int64{
		"motion":                    func(w *ZeroWatch, t int64) int64 { w.Add(t, 1000, false); return t + second },
		"motion without a reading":  func(w *ZeroWatch, t int64) int64 { w.Add(t, math.NaN(), false); return t + second/4 },
		"silence":                   func(w *ZeroWatch, t int64) int64 { return t + 2*second },
		"clock set back":            func(w *ZeroWatch, t int64) int64 { return t - 100*second },
		"nothing: a reading absent": func(w *ZeroWatch, t int64) int64 { w.Add(t, math.NaN(), true); return t },
	} {
		w := mustWatch(t, p)
		now := int64(1000) * second
		for range 7 { // five to settle, two of the four
			if _, ok := w.Add(now, 1, true); ok {
				t.Fatalf("%s: a record before four readings", name)
			}
			now += second
		}
		now = disturb(w, now)
		begun := now
		for i := 1; ; i++ {
			r, ok := w.Add(now, 2+float64(i%2), true)
			now += second
			if !ok {
				continue
			}
			if name == "nothing: a reading absent" {
				if i != 2 || r.From >= begun {
					t.Errorf("%s: the record came after %d more, from %d", name, i, r.From)
				}
			} else if r.From < begun+4*second || r.Mean.Value != 2.5 || r.Readings != 4 {
				t.Errorf("%s at %d: %+v: holds readings from before it had settled", name, begun, r)
			}
			break
		}
	}
}

// A zero that has moved by less than is needed asks for a look, by more for a calibration.
func TestStates(t *testing.T) {
	for _, test := range []struct {
		at   float64
		want State
	}{{0, InControl}, {1.5, Look}, {-1.5, Look}, {2.5, Recalibrate}, {-2.5, Recalibrate}} {
		w := mustWatch(t, four)
		if err := w.Hold(chart.Level{Mean: 7, SD: 0.1}); err != nil {
			t.Fatal(err)
		}
		var last Rest
		for i := range int64(20) {
			if r, ok := w.Add(i*second, 7+test.at, true); ok {
				last = r
			}
		}
		if last.State != test.want || last.Moved != test.at {
			t.Errorf("moved by %g: %+v, want %s", test.at, last, test.want)
		}
	}
	w := mustWatch(t, four)
	for i := range int64(4) {
		if r, ok := w.Add(i*second, 7, true); ok && (r.State != InControl || !math.IsNaN(r.Moved)) {
			t.Errorf("while learning: %+v", r)
		}
	}
}

// A level learnt, kept and held again; a reset learns anew; a sensor that shows one value
// only gives no level.
func TestLevels(t *testing.T) {
	r := rand.New(rand.NewPCG(22, 22))
	w := mustWatch(t, four)
	now := int64(0)
	feed := func(records int, level float64) (signals int) {
		for range 4 * records {
			now += second
			if one, ok := w.Add(now, level+r.NormFloat64(), true); ok && one.Signal.Rule != chart.None {
				signals++
			}
		}
		return signals
	}
	if n := feed(20, 7); n != 0 {
		t.Errorf("%d signals while learning", n)
	}
	kept, ok := w.Level()
	if !ok || math.Abs(kept.Mean-7) > 0.5 || math.Abs(kept.SD-0.5) > 0.2 || kept.N != 20 {
		t.Errorf("level %+v, %v; want 7 and 1/2 of 20", kept, ok)
	}
	if n := feed(10, 12); n == 0 {
		t.Error("ten standard deviations off and no signal")
	}
	w.Reset()
	if _, ok := w.Level(); ok {
		t.Error("a level after a reset")
	}
	if n := feed(25, 12); n != 0 {
		t.Errorf("%d signals at the new level", n)
	}
	w = mustWatch(t, four)
	if err := w.Hold(kept); err != nil {
		t.Fatal(err)
	}
	if n := feed(3, 12); n == 0 {
		t.Error("off a level held, and no signal")
	}
	refused(t, w.Hold(chart.Level{}), "standard deviation 0")
	w = mustWatch(t, four)
	for range 200 {
		now += second
		w.Add(now, 8388607, true)
	}
	if l, ok := w.Level(); ok {
		t.Errorf("a level %+v of readings all alike", l)
	}
}

func TestWatchRefusals(t *testing.T) {
	for word, spoil := range map[string]func(*WatchPlan){
		"dwell 1 s":     func(p *WatchPlan) { p.Dwell = 1 },
		"gap 0":         func(p *WatchPlan) { p.Gap = 0 },
		"settling -1":   func(p *WatchPlan) { p.Settle = -1 },
		"dwell NaN":     func(p *WatchPlan) { p.Dwell = math.NaN() },
		"baseline of 1": func(p *WatchPlan) { p.Baseline = 1 },
		"limit 0":       func(p *WatchPlan) { p.Charts.Limit = 0 },
		"needed = 0":    func(p *WatchPlan) { p.Needed = 0 },
	} {
		p := four
		spoil(&p)
		_, err := NewZeroWatch(p)
		refused(t, err, word)
	}
	if _, err := NewZeroWatch(TenMinutes(math.Inf(1))); err != nil {
		t.Error(err)
	}
}

func TestWatchKeepsNoMemory(t *testing.T) {
	p := four
	p.Baseline = 1000
	w := mustWatch(t, p)
	now, x := int64(0), 0.5
	if n := testing.AllocsPerRun(40_000, func() { // through baseline and charts
		now += second
		x = 3.9 * x * (1 - x)
		w.Add(now, x, true)
	}); n != 0 {
		t.Errorf("%g allocations a reading", n)
	}
	if _, ok := w.Level(); !ok {
		t.Error("no level learnt: the charts were not reached")
	}
}

// One reading into the watch, of a thousand a second, beside the floor: the octave sums
// alone.
func BenchmarkZeroWatch(b *testing.B) {
	x := 0.5
	b.Run("floor", func(b *testing.B) {
		var s allan.Stream
		b.ReportAllocs()
		for b.Loop() {
			x = 3.9 * x * (1 - x)
			s.Add(x)
		}
	})
	b.Run("watch", func(b *testing.B) {
		p := TenMinutes(1)
		p.Dwell = 10 // more records than there ever are
		w := mustWatch(b, p)
		now := int64(0)
		b.ReportAllocs()
		for b.Loop() {
			now += 1e6
			x = 3.9 * x * (1 - x)
			w.Add(now, x, true)
		}
	})
}
