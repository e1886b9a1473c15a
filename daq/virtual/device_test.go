package virtual

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"joulewell/daq/wire"
)

func TestSameConfigSameBytes(t *testing.T) {
	c := with(t, Random(7), "lost-echo", "bad-checksum", "binary-noise", "reset@8", "noise-burst")
	a, b := hear(t, c, 20), hear(t, c, 20)
	if !bytes.Equal(a.bytes, b.bytes) || fmt.Sprint(a.pieces) != fmt.Sprint(b.pieces) {
		t.Error("two devices of one configuration differ")
	}
	c.Seed++
	if bytes.Equal(a.bytes, hear(t, c, 20).bytes) {
		t.Error("another seed gives the same bytes")
	}
}

// One fault more changes no other draw.
func TestFaultsDoNotDisturbEachOther(t *testing.T) {
	c := brisk()
	plain := hear(t, c, 10).samples
	spoilt := hear(t, with(t, c, "bad-checksum=0.5", "doubled-line=0.5"), 10).samples
	for i := range min(len(plain), len(spoilt)) {
		if plain[i].Reading != spoilt[i].Reading {
			t.Fatalf("reading %d differs: %+v and %+v", i, plain[i], spoilt[i])
		}
	}
}

// A sound device is understood line by line, says what it is, and says it again.
func TestLinesAreUnderstood(t *testing.T) {
	for _, c := range []Config{Default(), Quiet(1000), Quiet(50), Lossless(), Random(1), Random(2), Random(3), Random(4)} {
		if quick() {
			c.Spring.Coils = 10
		}
		h := hear(t, c, 16)
		if h.counts.RefusedTotal() != 0 || h.overlong != 0 {
			t.Errorf("%s: refused %v, too long %d", c.Name, h.counts.Refused, h.overlong)
		}
		if h.counts.FieldLines != 4 || h.counts.Notes != 4 { // at 0, 5, 10 and 15 s
			t.Errorf("%s: announced %d times with %d notes, want 4", c.Name, h.counts.FieldLines, h.counts.Notes)
		}
		if !h.decoder.Virtual() {
			t.Errorf("%s: does not say that it is virtual", c.Name)
		}
		for i := range h.readings {
			if h.readings[i] != canonical(h.samples[i].Reading) {
				t.Fatalf("%s: line %d: heard %+v, meant %+v", c.Name, i, h.readings[i], h.samples[i].Reading)
			}
			if i > 0 && h.readings[i].DeviceUs < h.readings[i-1].DeviceUs {
				t.Fatalf("%s: stamp %d after %d", c.Name, h.readings[i].DeviceUs, h.readings[i-1].DeviceUs)
			}
			if i > 0 && h.readings[i].Seq != h.readings[i-1].Seq+1 {
				t.Fatalf("%s: seq %d after %d", c.Name, h.readings[i].Seq, h.readings[i-1].Seq)
			}
		}
		if n := len(h.samples); len(h.readings) < n-5 || n < 500 {
			t.Errorf("%s: %d of %d readings heard", c.Name, len(h.readings), n)
		}
	}
}

// canonical marks seq and stamp present, as the decoder does.
func canonical(r wire.Reading) wire.Reading {
	r.Set(wire.Seq, float64(r.Seq))
	r.Set(wire.DeviceUs, float64(r.DeviceUs))
	return r
}

func TestRates(t *testing.T) {
	h := hear(t, brisk(), 60)
	var n [wire.ColumnCount]int
	for i := range h.samples {
		for c := range wire.ColumnCount {
			if h.samples[i].Reading.Has(c) {
				n[c]++
			}
		}
	}
	near(t, "echoes", float64(n[wire.EchoUs]), 40*60, 30)
	near(t, "conversions", float64(n[wire.LoadCounts]), 80*1.011*60, 8)
	near(t, "temperatures", float64(n[wire.AirCentiC]), 30, 1)
}

// Opening the port starts the device anew while the apparatus moves on.
func TestRestart(t *testing.T) {
	c := brisk()
	d, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	listen(t, d, 3)
	d.Restart()
	chunk, at, _ := d.Next()
	if string(chunk) != "\n" || at < 3e9 || at > 31e8 {
		t.Errorf("after a restart comes %q at %d ns", chunk, at)
	}
	var text []byte
	for len(text) < 400 {
		chunk, _, _ := d.Next()
		text = append(text, chunk...)
	}
	if !bytes.HasPrefix(text, []byte("#virtual bench Tamar")) || !bytes.Contains(text, []byte("\n#fields seq,t_us,")) ||
		!bytes.Contains(text, []byte("\n0,")) {
		t.Errorf("a restart begins with %q", text)
	}
	samples := listen(t, d, 6).samples
	truth := rigOf(t, c)
	for _, s := range samples {
		if s.Boot != 2 {
			t.Fatalf("boot %d", s.Boot)
		}
		if s.Reading.Has(wire.EchoUs) {
			near(t, "distance [m]", s.Distance, truth.At(s.At).Height-c.Ranger.Position, 4e-3)
		}
	}
	if first := samples[0]; first.At < 3e9 || first.Reading.DeviceUs > 1e6 {
		t.Errorf("first reading after it: %+v", first)
	}
}

func TestAsk(t *testing.T) {
	d, err := New(brisk())
	if err != nil {
		t.Fatal(err)
	}
	listen(t, d, 2)
	d.Ask()
	var text string
	for range 4 {
		chunk, _, _ := d.Next()
		text += string(chunk)
	}
	if !strings.Contains(text, "#virtual ") || !strings.Contains(text, "#fields ") {
		t.Errorf("the answer to a question is %q", text)
	}
}

// At 115200 bit/s a byte takes 86.8 us, and a line leaves when its values are there.
func TestLineTime(t *testing.T) {
	c := brisk()
	c.Line.Jitter = 0
	h := hear(t, c, 10)
	lines, busy := h.lines(), int64(0)
	if len(lines) != len(h.pieces) {
		t.Fatalf("%d lines in %d pieces", len(lines), len(h.pieces))
	}
	n := 0
	for i, line := range lines {
		arrived, takes := h.pieces[i].at, nanoseconds(float64(len(line))*10/115200)
		if line[0] != '#' && len(line) > 1 {
			want := max(h.samples[n].Ready, busy) + takes
			near(t, "arrival [ns]", float64(arrived), float64(want), 1)
			n++
		}
		busy = arrived
	}
}

func TestBatchesAndPieces(t *testing.T) {
	c := brisk()
	whole := hear(t, c, 10)
	c.Line.Batch = 0.016
	batched := hear(t, c, 10)
	if n := len(batched.bytes); !bytes.Equal(batched.bytes, whole.bytes[:n]) || len(whole.bytes)-n > 200 {
		t.Error("batches change the bytes")
	}
	for _, p := range batched.pieces {
		if (p.at-5e6)%16e6 != 0 {
			t.Fatalf("a batch at %d ns", p.at)
		}
	}
	cut := 0
	for _, p := range batched.pieces {
		if batched.bytes[p.end-1] != '\n' {
			cut++
		}
	}
	if cut < 20 {
		t.Errorf("only %d batches end inside a line", cut)
	}
	c.Line.Batch, c.Line.Split = 0, 0.5
	split := hear(t, c, 10)
	near(t, "share of split lines", float64(len(split.pieces))/float64(len(whole.pieces))-1, 0.5, 0.06)
}

// A line too slow for its readings loses some, and seq shows which.
func TestSlowLineLosesReadings(t *testing.T) {
	c := brisk()
	c.Line.Baud = 19200
	h := hear(t, c, 20)
	if h.counts.RefusedTotal() != 0 {
		t.Errorf("refused %v", h.counts.Refused)
	}
	gaps := 0
	for i := 1; i < len(h.readings); i++ {
		gaps += int(h.readings[i].Seq - h.readings[i-1].Seq - 1)
	}
	if len(h.readings) < 1000 || gaps < 100 {
		t.Errorf("%d readings heard, %d missing", len(h.readings), gaps)
	}
	for i, r := range h.readings[:len(h.readings)-1] {
		sample := h.samples[r.Seq]
		if late := h.lineEnd(i) - sample.Ready; late > 400e6 {
			t.Fatalf("reading %d arrives %d ns late", r.Seq, late)
		}
	}
}

// lineEnd returns when [ns] the n-th data line had arrived.
func (h *heard) lineEnd(n int) int64 {
	end := 0
	for _, line := range h.lines() {
		end += len(line)
		if line[0] == '#' || len(line) == 1 {
			continue
		}
		if n--; n < 0 {
			break
		}
	}
	for _, p := range h.pieces {
		if p.end >= end {
			return p.at
		}
	}
	return math.MaxInt64
}

// Whoever holds the other end of the line may restart and ask while the device plays.
func TestRestartAndAskFromElsewhere(t *testing.T) {
	c := brisk()
	c.Line.Boot, c.Line.Split = 0, 1
	d, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	d.Next()
	done := make(chan struct{})
	go func() {
		defer close(done)
		for range 50 {
			d.Ask()
			d.Restart()
		}
	}()
	last := int64(0)
	for playing := true; playing; {
		select {
		case <-done:
			playing = false
		default:
		}
		if _, at, ok := d.Next(); !ok || at < last {
			t.Fatalf("at %d after %d, %v", at, last, ok)
		} else {
			last = at
		}
	}
	for range 20 {
		d.Next() // half of the time with the rest of a line at hand
		d.Restart()
		if chunk, at, _ := d.Next(); string(chunk) != "\n" || at < last {
			t.Fatalf("after a restart comes %q at %d after %d", chunk, at, last)
		} else {
			last = at
		}
	}
}

func TestNextAllocatesNothing(t *testing.T) {
	for _, c := range []Config{Default(), Quiet(1000)} {
		d, err := New(c)
		if err != nil {
			t.Fatal(err)
		}
		for range 1000 {
			d.Next()
		}
		if n := testing.AllocsPerRun(2000, func() { d.Next() }); n > 0 {
			t.Errorf("%s: %g allocations a piece", c.Name, n)
		}
	}
}
