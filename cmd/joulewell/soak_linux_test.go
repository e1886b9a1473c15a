package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/upkeep"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
)

// soakShare is how much of a soak is played: JOULEWELL_SOAK=1 is the whole of it, 24
// hours of virtual time and 20 minutes of real time.
func soakShare(t *testing.T) float64 {
	t.Helper()
	text := os.Getenv("JOULEWELL_SOAK")
	if text == "" {
		return 0.002
	}
	share, err := strconv.ParseFloat(text, 64)
	if err != nil || !(share > 0) {
		t.Fatalf("JOULEWELL_SOAK = %q: must be a share of the whole soak, 1 = all of it", text)
	}
	return share
}

// marathon is a device of 1000 readings a second that is read as fast as it can be, on a
// clock of its own. It lets itself be recorded, in runs one after the other.
type marathon struct {
	t     *testing.T
	clock atomic.Int64 // [ns]
	sent  int          // [1] readings
	emit  func(source.Event) bool

	play func(*marathon)
	done chan struct{}
}

func (m *marathon) Describe() string   { return "marathon" }
func (m *marathon) Virtual() bool      { return false }
func (m *marathon) now() time.Duration { return time.Duration(m.clock.Load()) }

func (m *marathon) Run(ctx context.Context, emit func(source.Event) bool) {
	defer close(m.done)
	m.emit = emit
	emit(source.Event{Kind: source.Opened, At: m.now(), Name: "marathon"})
	emit(source.Event{Kind: source.Bytes, At: m.now(), Bytes: []byte("\n#fields seq,t_us,range_mm,load_counts\n")})
	m.play(m)
}

// feed sends n readings: a load conversion each, and with every 25th a range. For two
// minutes of three the bob swings, for the third it is at rest.
func (m *marathon) feed(n int) {
	var text []byte
	for ; n > 0; n-- {
		t := float64(m.sent) / 1000
		swing := math.Sin(2 * math.Pi * t)
		if m.sent/60_000%3 == 2 {
			swing = 0
		}
		var r wire.Reading
		r.Seq, r.DeviceUs = uint32(m.sent), uint32(m.sent*1000) // wraps every 72 minutes
		if m.sent%25 == 0 {
			r.Set(wire.RangeMm, math.Round(4000+1000*swing+5*math.Sin(777*t))/10)
		}
		r.Set(wire.LoadCounts, math.Round(250_000+60_000*swing+40*math.Sin(555*t)))
		text = wire.AppendReading(text, []wire.Column{wire.Seq, wire.DeviceUs, wire.RangeMm, wire.LoadCounts}, &r)
		m.clock.Add(int64(time.Millisecond))
		if m.sent++; m.sent%20 == 0 || n == 1 {
			m.emit(source.Event{Kind: source.Bytes, At: m.now(), Bytes: text})
			text = text[:0]
		}
	}
}

// TestSoakOfADay plays 24 hours at 1000 readings a second through a whole daemon, as fast
// as the machine can: a quarter of an hour a run, each run checked for every reading and removed.
func TestSoakOfADay(t *testing.T) {
	if testing.Short() {
		t.Skip("short: no soak")
	}
	share := soakShare(t)
	runs := 96
	if share < 0.02 {
		runs = 4
	}
	whole := int(24 * 3600 * 1000 * share)
	file := setup.Blank()
	file.Bench, file.Listen, file.Data = virtual.Setup(virtual.Default()), "127.0.0.1:0", t.TempDir()
	file.Calibration = filepath.Join(file.Data, "calibration.toml")
	m := &marathon{t: t, done: make(chan struct{})}
	morning := time.Date(2026, 11, 27, 8, 0, 0, 0, time.UTC)
	desk, err := upkeep.Open(file, func() time.Time { return morning.Add(m.now()) })
	if err != nil {
		t.Fatal(err)
	}
	told := &address{said: make(chan string, 1)}
	s := station{file: desk.File(), desk: desk, source: m, clock: m.now, log: slog.New(slog.DiscardHandler), out: told}
	ctx, cancel := context.WithCancel(t.Context())
	ended := make(chan error, 1)

	var heap, resident []float64
	goroutines, rows, begun := 0, 0, time.Now()
	m.play = func(m *marathon) {
		page := <-told.said
		for _, query := range []string{"", "rate=all", "rate=120&ack=yes"} { // the last acknowledges nothing
			idler(t, page, query)
		}
		m.feed(5000)
		for run := range runs {
			post(t, page+"api/run/start", `{"note":"soak"}`)
			m.feed(whole / runs)
			ended := post(t, page+"api/run/stop", `{}`)
			rows += m.check(t, file.Data, ended, run%12 == 0)
			now := memoryNow(t)
			heap, resident = append(heap, now.heap), append(resident, now.resident)
			if run == 0 {
				goroutines = runtime.NumGoroutine()
			}
		}
	}
	go func() { ended <- s.run(ctx) }()
	<-m.done
	if n := runtime.NumGoroutine(); n > goroutines {
		t.Errorf("%d goroutines run, %d did after the first run", n, goroutines)
	}
	cancel()
	if err := <-ended; err != nil {
		t.Error(err)
	}
	took := time.Since(begun)
	t.Logf("%.3g h at 1000/s: %d readings, %d rows in %d runs, in %v: %.0f readings/s",
		m.now().Hours(), m.sent, rows, runs, took.Round(time.Second), float64(m.sent)/took.Seconds())
	flat(t, "live heap", heap, 1<<20)
	flat(t, "resident memory", resident, 16<<20)
}

// check looks at a finished run, whether every reading of the millisecond is in it, and
// whether it comes out the same, where again asks for that; then it removes the run.
func (m *marathon) check(t *testing.T, dir string, ended map[string]any, again bool) (rows int) {
	t.Helper()
	name := filepath.Join(dir, fmt.Sprint(ended["name"]))
	if filepath.Ext(name) != ".csv" {
		name += ".csv"
	}
	run, err := runfile.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer run.Close()
	var first, before frame.Frame
	each := func(f *frame.Frame) {
		if rows++; rows == 1 {
			first = *f
		} else if f.T-before.T > int64(100*time.Millisecond) || f.Reading.Seq != before.Reading.Seq+1 {
			t.Fatalf("row %d: %v and reading %d after reading %d", rows, time.Duration(f.T-before.T), f.Reading.Seq, before.Reading.Seq)
		}
		before = *f
	}
	if again {
		c, err := daq.Compare(run, run.Meta(), each)
		if err != nil || c.Differing > 0 {
			t.Errorf("%d of %d rows come out differently, in column %s, %v", c.Differing, c.Rows, c.Column, err)
		}
	} else {
		for {
			var f frame.Frame
			if err := run.Next(&f); errors.Is(err, io.EOF) {
				break
			} else if err != nil {
				t.Fatal(err)
			}
			each(&f)
		}
	}
	if int(before.Reading.Seq) != m.sent-1 || ended["lost"] != 0.0 || ended["rows"] != float64(rows) || first.T > -int64(1900*time.Millisecond) {
		t.Errorf("the run ends with reading %d of %d, begins at %v, has %d rows: %v", before.Reading.Seq, m.sent-1, time.Duration(first.T), rows, ended)
	}
	for _, end := range []string{"", "-metadata.json"} {
		if err := os.Remove(name + end); err != nil {
			t.Error(err)
		}
	}
	return rows
}

// idler is a viewer who reads what comes, and says nothing.
func idler(t *testing.T, page, query string) {
	t.Helper()
	ws, _, err := websocket.DefaultDialer.Dial("ws"+strings.TrimPrefix(page, "http")+"live?"+query, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ws.Close() })
	go func() {
		for {
			if _, _, err := ws.NextReader(); err != nil {
				return
			}
		}
	}()
}
