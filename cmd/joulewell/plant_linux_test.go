package main

import (
	"encoding/json"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
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

// rows waits until the run has n rows more than now.
func (p *plant) rows(n uint64) {
	p.t.Helper()
	s, err := p.state()
	if err != nil {
		p.t.Fatal(err)
	}
	p.await(30*time.Second, "more rows", func(now *state) bool { return now.Run.Rows >= s.Run.Rows+n })
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
