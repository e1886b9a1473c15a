package main

import (
	"encoding/json"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"golang.org/x/sys/unix"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
)

// plant is a daemon with its device, and one who looks on.
type plant struct {
	t       *testing.T
	link    string // of the device's terminal
	data    string
	through []string // command that the daemon is started through; empty = none
	device  *child
	daemon  *child
	page    string
	viewer  *viewer
}

func newPlant(t *testing.T, seed int, faults ...string) *plant {
	t.Helper()
	p := barePlant(t)
	p.plugIn(seed, faults...)
	p.serve()
	return p
}

func barePlant(t *testing.T) *plant {
	dir := t.TempDir()
	return &plant{t: t, link: filepath.Join(dir, "bench"), data: filepath.Join(dir, "runs")}
}

func (p *plant) plugIn(seed int, faults ...string) {
	p.t.Helper()
	args := []string{"virtual", "--link", p.link, "--seed", strconv.Itoa(seed)}
	for _, f := range faults {
		args = append(args, "--fault", f)
	}
	p.device = start(p.t, args...)
	p.device.line(p.link)
}

// serve starts the daemon and waits until it reads the device.
func (p *plant) serve() {
	p.t.Helper()
	p.open()
	p.await(15*time.Second, "live readings", func(s *state) bool { return s.Link == "live" && s.Fresh })
}

// open starts the daemon and sits a viewer down before it.
func (p *plant) open() {
	p.t.Helper()
	p.daemon = startAs(p.t, p.command())
	p.page = p.daemon.line("Show page: ")
	p.viewer = sit(p.t, p.page)
}

// command is that of the daemon.
func (p *plant) command() *exec.Cmd {
	p.t.Helper()
	c := program(p.t, "serve", "--port", p.link, "--listen", "127.0.0.1:0", "--data", p.data)
	if len(p.through) == 0 {
		return c
	}
	path, err := exec.LookPath(p.through[0])
	if err != nil {
		p.t.Skipf("%s is not here: %v", p.through[0], err)
	}
	c.Args = slices.Concat(p.through, []string{c.Path}, c.Args[1:])
	c.Path = path
	return c
}

// state is as much of the status as these tests read.
type state struct {
	Link  string  `json:"link"`
	Fresh bool    `json:"fresh"`
	Epoch uint32  `json:"epoch"`
	Rate  float64 `json:"rate_per_s"`
	Seq   uint32  `json:"seq"` // of the API alone
	Lines struct {
		Accepted  uint64 `json:"accepted"`
		Misplaced uint64 `json:"misplaced"`
	} `json:"lines"`
	Run struct {
		Active  bool   `json:"active"`
		Rows    uint64 `json:"rows"`
		Lost    uint64 `json:"lost"`
		Trouble string `json:"trouble"`
	} `json:"run"`
	Viewers int `json:"viewers"`
}

// placed is how many readings have been accepted and placed in time.
func (s *state) placed() uint64 { return s.Lines.Accepted - s.Lines.Misplaced }

// viewer keeps what a page would show.
type viewer struct {
	mu   sync.Mutex
	last state
	news chan struct{} // closed and made anew at each status
}

// sit lets a viewer watch until the daemon or the test ends.
func sit(t *testing.T, page string) *viewer {
	t.Helper()
	ws, _, err := websocket.DefaultDialer.Dial("ws"+strings.TrimPrefix(page, "http")+"live?rate=1&channels=total_J", nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { ws.Close() })
	v := &viewer{news: make(chan struct{})}
	go func() {
		for {
			var m struct {
				Type string `json:"type"`
				state
			}
			if ws.ReadJSON(&m) != nil {
				return
			}
			if m.Type == "status" {
				v.mu.Lock()
				v.last = m.state
				close(v.news)
				v.news = make(chan struct{})
				v.mu.Unlock()
			}
		}
	}()
	return v
}

// patience is how long a busy machine may take to show what is promised within a second;
// the log tells how long it took.
const patience = 4 * time.Second

// sees waits until the page shows a state as wanted, which may not take longer than within.
func (p *plant) sees(within time.Duration, what string, ok func(*state) bool) {
	p.t.Helper()
	begun := time.Now()
	for limit := time.After(within); ; {
		p.viewer.mu.Lock()
		s, news := p.viewer.last, p.viewer.news
		p.viewer.mu.Unlock()
		if ok(&s) {
			p.t.Logf("the page showed %s after %v", what, time.Since(begun).Round(time.Millisecond))
			return
		}
		select {
		case <-news:
		case <-limit:
			p.t.Errorf("%v later the page does not show %s, but %+v", within, what, s)
			return
		}
	}
}

func (p *plant) state() (s state, err error) {
	client := http.Client{Timeout: 10 * time.Second}
	r, err := client.Get(p.page + "api/status")
	if err != nil {
		return s, err
	}
	defer r.Body.Close()
	return s, json.NewDecoder(r.Body).Decode(&s)
}

// await asks for the status until it is as wanted, which may not take longer than within.
func (p *plant) await(within time.Duration, what string, ok func(*state) bool) {
	p.t.Helper()
	for limit := time.Now().Add(within); ; time.Sleep(20 * time.Millisecond) {
		s, err := p.state()
		if err == nil && ok(&s) {
			return
		}
		if time.Now().After(limit) {
			p.t.Fatalf("waited %v for %s; the status is %+v, %v", within, what, s, err)
		}
	}
}

// hold stops the device and lets arrive what is on its way.
func (p *plant) hold() {
	p.t.Helper()
	if err := p.device.Process.Signal(syscall.SIGSTOP); err != nil {
		p.t.Fatal(err)
	}
	time.Sleep(200 * time.Millisecond)
}

// drained waits until a busy daemon has read all that a device sent before it was held.
func (p *plant) drained() {
	p.t.Helper()
	last := uint64(0)
	p.await(15*time.Second, "the last readings", func(s *state) bool {
		was := last
		last = s.Lines.Accepted
		if last != was {
			time.Sleep(300 * time.Millisecond) // until the next status
		}
		return last == was
	})
}

func (p *plant) goOn() {
	p.t.Helper()
	if err := p.device.Process.Signal(syscall.SIGCONT); err != nil {
		p.t.Fatal(err)
	}
}

// begin starts a run and returns its name.
func (p *plant) begin() string {
	p.t.Helper()
	for tries := 0; ; tries++ { // on a busy machine readings may not be fresh just then
		if name, ok := p.begins(); ok {
			return name
		}
		if tries > 10 {
			p.t.Fatal("no run begins")
		}
		p.await(15*time.Second, "readings again", func(s *state) bool { return s.Link == "live" && s.Fresh })
	}
}

// begins returns the name of a run that begins; it may be refused for want of fresh readings.
func (p *plant) begins() (name string, ok bool) {
	p.t.Helper()
	r, err := http.Post(p.page+"api/run/start", "application/json", strings.NewReader(`{"note":"under faults"}`))
	if err != nil {
		p.t.Fatal(err)
	}
	defer r.Body.Close()
	if r.StatusCode != http.StatusCreated && r.StatusCode != http.StatusConflict {
		p.t.Fatalf("start: %s", r.Status)
	}
	var run struct {
		Name string `json:"name"`
	}
	if err := json.NewDecoder(r.Body).Decode(&run); err != nil {
		p.t.Fatal(err)
	}
	return run.Name, r.StatusCode == http.StatusCreated
}

// end stops the run and checks that nothing was lost.
func (p *plant) end() map[string]any {
	p.t.Helper()
	ended := post(p.t, p.page+"api/run/stop", `{}`)
	if ended["lost"] != 0.0 || ended["trouble"] != "" {
		p.t.Errorf("run %v", ended)
	}
	return ended
}

// record keeps a run over what happens meanwhile and counts: every reading that the
// daemon accepted from the start of the run on must be a row. The device stands still
// while the counts are read.
func (p *plant) record(meanwhile func()) {
	p.t.Helper()
	p.hold()
	for tries := 0; ; tries++ { // on a busy machine the readings may not be fresh any more
		if _, ok := p.begins(); ok {
			break
		}
		if p.goOn(); tries > 10 {
			p.t.Fatal("no run begins")
		}
		p.await(15*time.Second, "readings again", func(s *state) bool { return s.Link == "live" && s.Fresh })
		p.hold()
	}
	before, err := p.state() // published by the command
	if err != nil {
		p.t.Fatal(err)
	}
	p.goOn()
	meanwhile()
	p.hold()
	p.drained()
	ended := p.end()
	after, err := p.state()
	if err != nil {
		p.t.Fatal(err)
	}
	p.goOn()
	run, err := runfile.Open(filepath.Join(p.data, fmt.Sprint(ended["name"])+".csv"))
	if err != nil {
		p.t.Fatal(err)
	}
	defer run.Close()
	all, earlier := 0, 0
	for {
		var f frame.Frame
		if run.Next(&f) != nil {
			break
		}
		all++
		// Time zero is that of the newest reading at the start, or up to 30 ms before it.
		if f.Reading.Seq == before.Seq && f.T >= 0 && f.T < int64(31*time.Millisecond) && earlier == 0 {
			earlier = all
		}
	}
	if got, want := uint64(all-earlier), after.placed()-before.placed(); earlier == 0 || got != want || ended["rows"] != float64(all) {
		p.t.Errorf("%d rows since the start, which reading %d of row %d was, %d readings were accepted: %v", got, before.Seq, earlier, want, ended)
	}
}

// rows waits until the run has n rows more than now.
func (p *plant) rows(n uint64) {
	p.t.Helper()
	s, err := p.state()
	if err != nil {
		p.t.Fatal(err)
	}
	p.await(30*time.Second, "more rows", func(now *state) bool { return now.Run.Rows >= s.Run.Rows+n })
}

// whole checks that n finished runs lie in the data folder and come out the same.
func (p *plant) whole(n int) {
	p.t.Helper()
	runs, _ := filepath.Glob(filepath.Join(p.data, "*.csv"))
	if parts, _ := filepath.Glob(filepath.Join(p.data, "*.part")); len(runs) != n || len(parts) != 0 {
		p.t.Fatalf("runs %v, unfinished %v: want %d and none", runs, parts, n)
	}
	for _, r := range runs {
		if out, err := program(p.t, "replay", "--check", r).CombinedOutput(); err != nil || !strings.Contains(string(out), "come out the same") {
			p.t.Errorf("replay --check: %v: %s", err, out)
		}
	}
}

// descriptors counts what the daemon has open, and of these the terminals.
func (p *plant) descriptors() (all, terminals int) {
	p.t.Helper()
	folder := fmt.Sprintf("/proc/%d/fd", p.daemon.Process.Pid)
	entries, err := os.ReadDir(folder)
	if err != nil {
		p.t.Fatal(err)
	}
	for _, e := range entries {
		if to, err := os.Readlink(filepath.Join(folder, e.Name())); err == nil && strings.HasPrefix(to, "/dev/pts/") {
			terminals++
		}
	}
	return len(entries), terminals
}

// idle is how many goroutines a daemon has that reads its device, records nothing and is
// watched by one: main, the source, the ticker, the server with its watch, the notes of
// rests, the viewer's two, one for its subscription, signals. Connections that linger may
// add a few.
const idle = 16

// leaves ends the daemon by SIGQUIT, at which a Go program tells of its goroutines, and
// checks that none is left of what it did, nor a descriptor of a terminal but the one.
func (p *plant) leaves() {
	p.t.Helper()
	if _, terminals := p.descriptors(); terminals != 1 {
		p.t.Errorf("%d terminals are open, want the present one", terminals)
	}
	if err := p.daemon.end(syscall.SIGQUIT); err == nil {
		p.t.Error("SIGQUIT was not heeded")
	}
	said := p.daemon.said.String()
	log, dump, _ := strings.Cut(said, "SIGQUIT")
	n := 0
	for _, g := range strings.Split(dump, "\ngoroutine ")[1:] {
		if !strings.Contains(g, "created by runtime.") {
			n++
		}
	}
	if n < 5 || n > idle {
		p.t.Errorf("%d goroutines are left:\n%s", n, said)
	}
	for _, mark := range []string{"under faults", "127.0.0.1:"} { // the note, whom it served
		if strings.Contains(log, mark) {
			p.t.Errorf("the log tells of %q: %s", mark, log)
		}
	}
}

// limit sets one of the daemon's limits and returns what it was.
func (p *plant) limit(which int, soft uint64) (was unix.Rlimit) {
	p.t.Helper()
	if err := unix.Prlimit(p.daemon.Process.Pid, which, nil, &was); err != nil {
		p.t.Skipf("limits of other processes cannot be set here: %v", err)
	}
	now := unix.Rlimit{Cur: min(soft, was.Max), Max: was.Max}
	if err := unix.Prlimit(p.daemon.Process.Pid, which, &now, nil); err != nil {
		p.t.Skipf("limits of other processes cannot be set here: %v", err)
	}
	return was
}

// refuses runs a command of the API that must be refused, and returns why.
func (p *plant) refuses(command string) string {
	p.t.Helper()
	r, err := http.Post(p.page+"api/run/"+command, "application/json", strings.NewReader(`{}`))
	if err != nil {
		p.t.Fatal(err)
	}
	defer r.Body.Close()
	var problem struct {
		Detail string `json:"detail"`
	}
	if err := json.NewDecoder(r.Body).Decode(&problem); err != nil || r.StatusCode < 400 {
		p.t.Errorf("%s: %s, %v: want a refusal", command, r.Status, err)
	}
	return problem.Detail
}

// campaigns is how many times a campaign is played, by the environment.
func campaigns(t *testing.T) int {
	t.Helper()
	text := os.Getenv("JOULEWELL_BENCHES")
	if text == "" {
		return 1
	}
	n, err := strconv.Atoi(text)
	if err != nil || n < 1 {
		t.Fatalf("JOULEWELL_BENCHES = %q: must be a number of benches", text)
	}
	return n
}
