package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"net"
	"net/http"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creack/pty"
	"github.com/gorilla/websocket"
	"golang.org/x/sys/unix"

	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
)

// BenchmarkLatency measures the time from the last byte of a line at a pseudo-terminal to the
// websocket message at a subscriber that asks for every frame, in turn with a bare
// program that reads a line and writes it to a websocket: the floor. It reports the
// medians and their ratio.
func BenchmarkLatency(b *testing.B) {
	ours, floor := newDaemonLine(b), newBareLine(b)
	var times [2][]float64
	for i := range b.N + 200 {
		for j, l := range []*line{ours, floor} {
			took := l.once(b, uint32(i))
			if i >= 200 { // after the first few the clocks and caches are warm
				times[j] = append(times[j], float64(took.Nanoseconds()))
			}
			time.Sleep(time.Millisecond) // lines come one by one, not back to back
		}
	}
	median := func(t []float64) float64 { slices.Sort(t); return t[len(t)/2] }
	b.ReportMetric(median(times[0]), "daemon-ns")
	b.ReportMetric(median(times[1]), "floor-ns")
	b.ReportMetric(median(times[0])/median(times[1]), "ratio")
	b.ReportMetric(0, "ns/op")
}

// line is one way from a pseudo-terminal to a websocket.
type line struct {
	name   string
	device *os.File
	began  time.Time
	arrive chan arrival
}

type arrival struct {
	seq uint32
	at  time.Time
}

// once sends reading seq and waits for the message that carries it.
func (l *line) once(b *testing.B, seq uint32) time.Duration {
	var r wire.Reading
	r.Seq, r.DeviceUs = seq, uint32(time.Since(l.began).Microseconds())
	r.Set(wire.RangeMm, 600)
	text := wire.AppendReading(nil, []wire.Column{wire.Seq, wire.DeviceUs, wire.RangeMm}, &r)
	sent := time.Now()
	if _, err := l.device.Write(text); err != nil {
		b.Fatal(err)
	}
	limit := time.After(10 * time.Second)
	for {
		select {
		case a := <-l.arrive:
			if a.seq == seq {
				return a.at.Sub(sent)
			}
		case <-limit:
			b.Fatalf("%s: no message with seq %d", l.name, seq)
		}
	}
}

// open makes a raw pseudo-terminal.
func open(b *testing.B) (device, terminal *os.File) {
	b.Helper()
	device, terminal, err := pty.Open()
	if err != nil {
		b.Skipf("no pseudo-terminal: %v", err)
	}
	b.Cleanup(func() { device.Close(); terminal.Close() })
	raw, err := terminal.SyscallConn()
	if err != nil {
		b.Fatal(err)
	}
	raw.Control(func(fd uintptr) {
		t, err := unix.IoctlGetTermios(int(fd), unix.TCGETS)
		if err != nil {
			b.Fatal(err)
		}
		t.Lflag &^= unix.ICANON | unix.ECHO | unix.ISIG
		t.Iflag &^= unix.ICRNL | unix.IXON
		t.Oflag &^= unix.OPOST
		if err := unix.IoctlSetTermios(int(fd), unix.TCSETS, t); err != nil {
			b.Fatal(err)
		}
	})
	return device, terminal
}

// subscribe reads a websocket and hands on the seq of every message.
func (l *line) subscribe(b *testing.B, url string) {
	b.Helper()
	ws, _, err := websocket.DefaultDialer.Dial(url, nil)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { ws.Close() })
	l.arrive = make(chan arrival, 1000)
	go func() {
		for {
			_, text, err := ws.ReadMessage()
			at := time.Now()
			if err != nil {
				return
			}
			var m struct {
				Seq uint32 `json:"seq"`
			}
			if json.Unmarshal(text, &m) == nil {
				l.arrive <- arrival{m.Seq, at}
			}
		}
	}()
}

func newDaemonLine(b *testing.B) *line {
	b.Helper()
	device, terminal := open(b)
	l := &line{name: "daemon", device: device, began: time.Now()}
	file := setup.Blank()
	file.Bench, file.Listen, file.Data = virtual.Setup(virtual.Default()), "127.0.0.1:0", b.TempDir()
	clock := source.NewClock()
	serial, err := source.NewSerial(source.SerialOptions{Port: terminal.Name(), Clock: clock})
	if err != nil {
		b.Fatal(err)
	}
	told := &address{said: make(chan string, 1)}
	s := station{file: file, source: serial, clock: clock, log: slog.New(slog.DiscardHandler), out: told}
	ctx, cancel := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.run(ctx) }()
	b.Cleanup(func() {
		cancel()
		if err := <-ended; err != nil {
			b.Error(err)
		}
	})
	l.subscribe(b, "ws"+strings.TrimPrefix(<-told.said, "http")+"live?rate=all")
	for { // the daemon asks for the fields once it has the port open
		one := make([]byte, 1)
		if _, err := device.Read(one); err != nil {
			b.Fatal(err)
		}
		if one[0] == '?' {
			break
		}
	}
	fmt.Fprint(device, "\n#fields seq,t_us,range_mm\n")
	return l
}

// address waits for the line that says where the page is.
type address struct {
	said chan string
	text bytes.Buffer
}

func (a *address) Write(p []byte) (int, error) {
	a.text.Write(p)
	if _, rest, ok := strings.Cut(a.text.String(), "Show page: "); ok {
		a.said <- strings.TrimSpace(rest)
	}
	return len(p), nil
}

// newBareLine is the floor: read a line, write a websocket message, nothing between.
func newBareLine(b *testing.B) *line {
	b.Helper()
	device, terminal := open(b)
	l := &line{name: "floor", device: device, began: time.Now()}
	listener, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		b.Fatal(err)
	}
	upgrader := websocket.Upgrader{}
	server := &http.Server{Handler: http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		ws, err := upgrader.Upgrade(w, r, nil)
		if err != nil {
			return
		}
		defer ws.Close()
		for s := bufio.NewScanner(terminal); s.Scan(); {
			seq, _, _ := bytes.Cut(s.Bytes(), []byte(","))
			if ws.WriteMessage(websocket.TextMessage, fmt.Appendf(nil, `{"seq":%s,"line":%q}`, seq, s.Bytes())) != nil {
				return
			}
		}
	})}
	go server.Serve(listener)
	b.Cleanup(func() { server.Close() })
	l.subscribe(b, "ws://"+listener.Addr().String())
	return l
}
