package webui

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"net"
	"net/http"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"go.uber.org/goleak"

	"joulewell/calib"
	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/wire"
	"joulewell/energy"
)

// fakeBench is a bench under the test's thumb.
type fakeBench struct {
	status atomic.Pointer[daq.Status]
	setup  setup.Bench
	runs   []runfile.Info
	files  map[string]string // CSV by name of the run
	refuse error             // answer to every command
	folder string            // for what a test keeps
	root   *os.Root          // of its runs

	mu       sync.Mutex
	listener daq.Listener
	notes    []string
	adopted  []*setup.Bench
}

func newFakeBench() *fakeBench {
	known := func(v float64) energy.Estimate { return energy.Estimate{Value: v, U: 0.001} }
	b := &fakeBench{
		setup: setup.Bench{
			Name: "Tamar", SpringLabel: "S-4", BobLabel: "brass bob",
			Apparatus: energy.Apparatus{
				Spring: energy.Spring{Mass: known(0.01), NaturalLength: known(0.12), Rate: known(25)},
				Bob:    energy.Bob{Mass: known(0.25), Length: known(0.06)}, Support: known(1), Gravity: known(9.8123),
			},
			Calibration: calib.Calibration{Distance: calib.Distance{Mounting: calib.Floor}},
			Motion:      setup.Motion{Lag: 40 * time.Millisecond, Degree: 3},
		},
		files: map[string]string{},
	}
	f := frame.Frame{
		T: 12_345_678_901, Epoch: 1,
		Distance: energy.None(), Force: known(2.5), Height: known(0.45), Extension: known(0.25), Velocity: known(-0.5),
		Energies: energy.Energies{Kinetic: known(0.03), Elastic: known(0.75), Gravitational: known(1.125), Total: known(0.03 + 0.75 + 1.125)},
	}
	f.Reading.Set(wire.LoadCounts, -184223)
	st := daq.Status{
		Bench: "Tamar", Source: "virtual bench", Virtual: true, Link: daq.Live, Port: "/dev/ttyUSB0",
		Now: time.Minute, Epoch: 1, Opens: 1, Rate: 120, Misplaced: 2,
		Lines:      wire.Counts{Accepted: 7200},
		ClockKnown: true, ClockPPM: -1330, ClockU: 12,
		Lag: 40 * time.Millisecond, Newest: 1042, Last: f, Fresh: true,
		Run: daq.Recording{Active: true, Name: "2026-11-25T184210Z-tamar", Rows: 6000, Length: 50 * time.Second},
	}
	st.Setup = &b.setup
	st.Lines.Refused[wire.BadChecksum] = 3
	b.status.Store(&st)
	b.addRun("2026-11-25T184210Z-tamar", "time_s,epoch\n0.000000000,1\n")
	return b
}

func (b *fakeBench) addRun(name, csv string) {
	b.runs = append(b.runs, runfile.Info{
		Name: name, File: name + ".csv", MetaFile: name + ".csv-metadata.json", Size: int64(len(csv)),
		Title: name, Bench: "Tamar", Created: time.Date(2026, 11, 25, 18, 42, 10, 0, time.UTC),
		Rows: 1, Length: 0, Complete: true, Virtual: true, Note: "S-4 with the brass bob",
	})
	b.files[name] = csv
}

// set changes the status.
func (b *fakeBench) set(change func(*daq.Status)) {
	st := *b.status.Load()
	change(&st)
	b.status.Store(&st)
}

func (b *fakeBench) Status() *daq.Status { return b.status.Load() }
func (b *fakeBench) Setup() *setup.Bench { return &b.setup }

func (b *fakeBench) Listen(l daq.Listener) func() {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.listener = l
	return func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		b.listener = nil
	}
}

// frames are the newest frame, as a batch would hold it.
func (b *fakeBench) frames() []frame.Frame { return []frame.Frame{b.Status().Last} }

// publish is what a bench's goroutine does.
func (b *fakeBench) publish(batch daq.Batch) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.listener != nil {
		b.listener(batch)
	}
}

func (b *fakeBench) StartRun(note string) (daq.Recording, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.refuse == nil {
		b.notes = append(b.notes, note)
	}
	return daq.Recording{Active: true, Name: "2026-11-25T190000Z-tamar"}, b.refuse
}

func (b *fakeBench) StopRun() (daq.Recording, error) {
	return daq.Recording{Name: "2026-11-25T190000Z-tamar", Rows: 17, Length: 1500 * time.Millisecond}, b.refuse
}

func (b *fakeBench) Runs() ([]runfile.Info, error) {
	if b.files == nil {
		return nil, daq.ErrNoFolder
	}
	return b.runs, nil
}

func (b *fakeBench) Adopt(s *setup.Bench) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.refuse == nil {
		b.adopted = append(b.adopted, s)
	}
	return b.refuse
}

func (b *fakeBench) Folder() *os.Root { return b.root }

type seekNopCloser struct{ io.ReadSeeker }

func (seekNopCloser) Close() error { return nil }

func (b *fakeBench) OpenRun(name string) (io.ReadSeekCloser, runfile.Info, error) {
	for _, r := range b.runs {
		if r.Name == name {
			return seekNopCloser{strings.NewReader(b.files[name])}, r, nil
		}
	}
	return nil, runfile.Info{}, fs.ErrNotExist
}

func (b *fakeBench) RunMetadata(name string) ([]byte, error) {
	if _, ok := b.files[name]; !ok {
		return nil, fs.ErrNotExist
	}
	return []byte(`{"@context":"http://www.w3.org/ns/csvw","url":"` + name + `.csv"}`), nil
}

// elsewhere is a loopback listener that says it listens on an address which other
// machines can reach.
type elsewhere struct{ net.Listener }

func (e elsewhere) Addr() net.Addr {
	return &net.TCPAddr{IP: net.IPv4(192, 0, 2, 7), Port: e.Listener.Addr().(*net.TCPAddr).Port}
}

// gate is a listener that tells when it is first asked for a connection: all goroutines
// of its server run by then.
type gate struct {
	net.Listener
	open func()
}

func (g gate) Accept() (net.Conn, error) {
	g.open()
	return g.Listener.Accept()
}

// site is a server that runs until the test ends.
type site struct {
	*Server
	bench  *fakeBench
	host   string // 127.0.0.1:port
	client *http.Client
	stop   func() error // ends Serve and returns what it returned
}

func newSite(t testing.TB, change ...func(*Options, *net.Listener)) *site {
	t.Helper()
	leaks := goleak.IgnoreCurrent()
	t.Cleanup(func() { goleak.VerifyNone(t, leaks) })
	bench := newFakeBench()
	bench.folder = t.TempDir()
	root, err := os.OpenRoot(bench.folder)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { root.Close() })
	bench.root = root
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	host := l.Addr().String()
	o := Options{Bench: bench, Version: "0.1.0", Listen: host}
	for _, c := range change {
		c(&o, &l)
	}
	s, err := New(o)
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	served := make(chan error, 1)
	open := make(chan struct{})
	go func() { served <- s.Serve(ctx, gate{l, sync.OnceFunc(func() { close(open) })}) }()
	<-open
	transport := &http.Transport{}
	stop := sync.OnceValue(func() error { cancel(); return <-served })
	t.Cleanup(func() {
		transport.CloseIdleConnections()
		if err := stop(); err != nil {
			t.Errorf("serve: %v", err)
		}
	})
	client := &http.Client{Transport: transport, CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	return &site{s, bench, host, client, stop}
}

// beyondLoopback makes the site one that other machines can reach.
func beyondLoopback(o *Options, l *net.Listener) {
	*l = elsewhere{*l}
	o.Listen = (*l).Addr().String()
	o.Key = "a key of the tests"
}

// do sends a request; headers come in pairs. Host and Content-Length are set as such.
func (s *site) do(t testing.TB, method, path, body string, headers ...string) (*http.Response, []byte) {
	t.Helper()
	r, err := http.NewRequest(method, "http://"+s.host+path, strings.NewReader(body))
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(headers); i += 2 {
		if headers[i] == "Host" {
			r.Host = headers[i+1]
		}
		r.Header.Add(headers[i], headers[i+1])
	}
	answer, err := s.client.Do(r)
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	data, err := io.ReadAll(answer.Body)
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) {
		t.Fatal(err)
	}
	return answer, data
}

// want sends a request and checks the status; a refusal must be a problem that says
// something.
func (s *site) want(t testing.TB, status int, method, path, body string, headers ...string) (*http.Response, []byte) {
	t.Helper()
	answer, data := s.do(t, method, path, body, headers...)
	if answer.StatusCode != status {
		t.Errorf("%s %s %q %v: %d %s, want %d", method, path, head(body), headers, answer.StatusCode, data, status)
	}
	if status >= 400 && method != http.MethodHead {
		var p problem
		if err := json.Unmarshal(data, &p); err != nil || p.Status != status || p.Detail == "" || p.Type != "about:blank" {
			t.Errorf("%s %s: no problem document: %s", method, path, data)
		}
		if typ := answer.Header.Get("Content-Type"); typ != "application/problem+json" {
			t.Errorf("%s %s: a problem of type %s", method, path, typ)
		}
	}
	return answer, data
}

func head(s string) string { return s[:min(len(s), 60)] }

// example is the route's pattern with its wildcards filled in.
func (r *route) example() string {
	return strings.NewReplacer("{$}", "", "{name...}", "show.css", "{name}", "2026-11-25T184210Z-tamar").Replace(r.path)
}

// asJSON are the headers of a request that may change something.
var asJSON = []string{"Content-Type", "application/json"}

func decode(t testing.TB, data []byte) map[string]any {
	t.Helper()
	var m map[string]any
	d := json.NewDecoder(bytes.NewReader(data))
	if err := d.Decode(&m); err != nil {
		t.Fatalf("decode %s: %v", data, err)
	}
	return m
}
