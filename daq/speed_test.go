package daq

import (
	"bytes"
	"context"
	"log/slog"
	"math"
	"strconv"
	"testing"
	"time"

	"joulewell/daq/clock"
	"joulewell/daq/runfile"
	"joulewell/daq/source"
	"joulewell/daq/wire"
)

// lap is a stretch of a device's output that can be played again and again: each lap
// has its own time stamps, made before the clock runs.
const lapReadings = 20_000

// lines returns n lines at 1000 readings/s, every 25th an optical range, the others
// load conversions: the fastest converter beside an ordinary ranging sensor.
func lines(from, n int, rangeEvery int) []byte {
	var text []byte
	for i := from; i < from+n; i++ {
		var r wire.Reading
		r.Seq, r.DeviceUs = uint32(i), uint32(i*1000)
		if i%rangeEvery == 0 {
			t := float64(i) / 1000
			r.Set(wire.RangeMm, math.Round(6000+1000*math.Sin(8*t)+5*math.Sin(777*t))/10) // half a millimetre of noise
		} else {
			r.Set(wire.LoadCounts, float64(250000-i%1013))
		}
		text = wire.AppendReading(text, []wire.Column{wire.Seq, wire.DeviceUs, wire.RangeMm, wire.LoadCounts}, &r)
	}
	return text
}

// idle is a source that says nothing; the benchmark feeds the bench by hand.
type idle struct{}

func (idle) Describe() string                                   { return "nothing" }
func (idle) Virtual() bool                                      { return true }
func (idle) Run(ctx context.Context, _ func(source.Event) bool) { <-ctx.Done() }

func benchmarkPipeline(b *testing.B, rangeEvery int) {
	now := time.Duration(0)
	bn, err := New(Options{
		Setup: bench(), Source: idle{}, Dir: b.TempDir(), Log: slog.New(slog.DiscardHandler),
		Clock: func() time.Duration { return now },
	})
	if err != nil {
		b.Fatal(err)
	}
	bn.handle(&source.Event{Kind: source.Opened})
	bn.handle(&source.Event{Kind: source.Bytes, Bytes: []byte("\n#fields seq,t_us,range_mm,load_counts\n")})
	recorder, err := runfile.Create(bn.dir, "speed", runfile.Meta{Setup: *bn.Setup()}, runfile.Options{Limit: 1 << 30})
	if err != nil {
		b.Fatal(err)
	}
	defer recorder.Close(runfile.Meta{})
	sent := 0
	feed := func(n int) (spent time.Duration) {
		for n > 0 {
			m := min(n, lapReadings)
			text := lines(sent, m, rangeEvery)
			begun := processorTime(b)
			for len(text) > 0 {
				part := text[:min(4096, len(text))]
				text = text[len(part):]
				now += time.Duration(len(part)) * time.Millisecond / 24 // about a line's length
				bn.handle(&source.Event{Kind: source.Bytes, At: now, Bytes: part})
			}
			spent += processorTime(b) - begun
			sent += m
			n -= m
		}
		return spent
	}
	feed(3 * lapReadings)
	bn.attach(recorder, runfile.Meta{}, math.MaxInt64)
	feed(lapReadings)
	b.ResetTimer()
	spent := feed(b.N)
	b.StopTimer()
	if got := bn.decoder.Counts().Accepted; got != uint64(sent) {
		b.Fatalf("%d of %d readings accepted", got, sent)
	}
	if lost := recorder.State().Lost; lost > 0 {
		b.Fatalf("%d rows lost", lost)
	}
	report(b, spent)
}

// report tells how many readings one core takes in a second of its own time, which a
// busy machine disturbs less than the time on the wall.
func report(b *testing.B, spent time.Duration) {
	b.ReportMetric(float64(b.N)/spent.Seconds(), "readings/core-s")
	b.ReportMetric(float64(spent.Nanoseconds())/float64(b.N), "core-ns/reading")
}

// BenchmarkPipeline is the whole way of a reading: bytes, line, time, calibration,
// velocity, energies with uncertainties, row in the run file.
func BenchmarkPipeline(b *testing.B) {
	b.Run("load", func(b *testing.B) { benchmarkPipeline(b, 25) })
	b.Run("range", func(b *testing.B) { benchmarkPipeline(b, 1) })
	b.Run("floor", benchmarkFloor)
}

// benchmarkFloor is the plain way to read such a line and to print as many numbers as a row
// of a run file holds: standard library, no physics.
func benchmarkFloor(b *testing.B) {
	text := lines(0, 1000, 25)
	all := bytes.SplitAfter(text, []byte("\n"))
	var row []byte
	begun := processorTime(b)
	for i := range b.N {
		line := all[i%1000]
		body, _, _ := bytes.Cut(line, []byte("*"))
		var sum float64
		for field := range bytes.SplitSeq(body, []byte(",")) {
			v, _ := strconv.ParseFloat(string(field), 64)
			sum += v
		}
		row = row[:0]
		for n := range 17 {
			row = strconv.AppendFloat(row, sum/float64(n+7), 'f', 7, 64)
			row = append(row, ',')
		}
	}
	report(b, processorTime(b)-begun)
}

// BenchmarkStages takes the way apart.
func BenchmarkStages(b *testing.B) {
	readings := swing{middle: 0.6, amplitude: 0.1, omega: 8}.readings(20, 0.001, 1)
	b.Run("deriver", func(b *testing.B) {
		d, err := NewDeriver(bench())
		if err != nil {
			b.Fatal(err)
		}
		b.ReportAllocs()
		i, lap := 0, int64(0)
		for b.Loop() {
			r := readings[i]
			r.T += lap
			d.Push(&r)
			if i++; i == len(readings) {
				i, lap = 0, lap+readings[len(readings)-1].T+1e7
			}
		}
	})
	b.Run("row", func(b *testing.B) {
		frames := derive(b, bench(), readings[:200])
		var row []byte
		b.ReportAllocs()
		i := 0
		for b.Loop() {
			row = runfile.AppendRow(row[:0], &frames[100+i%50])
			i++
		}
	})
	b.Run("clock", func(b *testing.B) {
		a := clock.New(clock.Options{})
		a.Open(0)
		i := 0
		for b.Loop() {
			i++
			a.Place(uint32(i*1000), int64(i)*1e6+int64(i%7)*1e4)
		}
	})
}

// Not one allocation from byte to frame (the row is held by runfile's own test), once the queues have grown.
func TestTheWholeWayAllocatesNothing(t *testing.T) {
	now := time.Duration(0)
	bn, err := New(Options{
		Setup: bench(), Source: idle{}, Dir: t.TempDir(), Log: slog.New(slog.DiscardHandler),
		Clock: func() time.Duration { return now },
	})
	if err != nil {
		t.Fatal(err)
	}
	bn.handle(&source.Event{Kind: source.Opened})
	bn.handle(&source.Event{Kind: source.Bytes, Bytes: []byte("\n#fields seq,t_us,range_mm,load_counts\n")})
	const warm, count = 6000, 3000
	all := bytes.SplitAfter(lines(0, warm+count+2, 5), []byte("\n"))
	next := 0
	push := func() {
		now += time.Millisecond
		bn.handle(&source.Event{Kind: source.Bytes, At: now, Bytes: all[next]})
		next++
	}
	for range warm {
		push()
	}
	if n := testing.AllocsPerRun(count, push); n != 0 {
		t.Errorf("%g allocations per reading", n)
	}
	if got := bn.decoder.Counts().Accepted; got != uint64(next) || !bn.last.Energies.Total.Known() {
		t.Errorf("%d of %d readings accepted, energies %v", got, next, bn.last.Energies.Total)
	}
}

// BenchmarkLedger is what one reading costs from its calibration to four energies with
// their uncertainties, lines and files left out: an optical range and a force at 1000/s.
func BenchmarkLedger(b *testing.B) {
	readings := swing{middle: 0.6, amplitude: 0.1, omega: 3 * math.Pi}.dense(2, 1000) // whole periods, so that laps join
	d, err := NewDeriver(bench())
	if err != nil {
		b.Fatal(err)
	}
	i, lap := 0, int64(0)
	begun := processorTime(b)
	b.ReportAllocs()
	for b.Loop() {
		r := readings[i]
		r.T += lap
		d.Push(&r)
		if i++; i == len(readings) {
			i, lap = 0, lap+readings[len(readings)-1].T+1e6
		}
	}
	b.ReportMetric(float64((processorTime(b)-begun).Nanoseconds())/float64(b.N), "core-ns/reading")
}

// dense are readings with range and force on every line.
func (s swing) dense(seconds float64, rate int) []Timed {
	var all []Timed
	for n := range int(seconds * float64(rate)) {
		t := float64(n) / float64(rate)
		r := Timed{T: int64(t * 1e9), Epoch: 1}
		r.Reading.Seq = uint32(n)
		r.Reading.Set(wire.RangeMm, math.Round(1e4*s.height(t)+5*math.Sin(248*math.Pi*t))/10) // half a millimetre of noise
		r.Reading.Set(wire.LoadCounts, s.force(t)/1e-5-1000)
		all = append(all, r)
	}
	return all
}
