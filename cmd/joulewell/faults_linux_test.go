package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"golang.org/x/sys/unix"
)

// What goes wrong around a daemon, with real processes on a real pseudo-terminal: after
// each fault it is alive or restarts to a whole state, it says within a second what is
// the case, and the run is whole and comes out the same when it is worked out again.

// plant is a daemon with its device.
type plant struct {
	t      *testing.T
	link   string // of the device's terminal
	data   string
	device *child
	daemon *child
	page   string
}

func newPlant(t *testing.T, seed int) *plant {
	t.Helper()
	dir := t.TempDir()
	p := &plant{t: t, link: filepath.Join(dir, "bench"), data: filepath.Join(dir, "runs")}
	p.plugIn(seed)
	p.serve()
	return p
}

func (p *plant) plugIn(seed int) {
	p.t.Helper()
	p.device = start(p.t, "virtual", "--link", p.link, "--seed", strconv.Itoa(seed))
	p.device.line(p.link)
}

func (p *plant) serve() {
	p.t.Helper()
	p.daemon = start(p.t, "serve", "--port", p.link, "--listen", "127.0.0.1:0", "--data", p.data)
	p.page = p.daemon.line("Show page: ")
	p.await(15*time.Second, "live readings", func(s *state) bool { return s.Link == "live" && s.Fresh })
}

// state is as much of the status as these tests read.
type state struct {
	Link  string  `json:"link"`
	Fresh bool    `json:"fresh"`
	Epoch uint32  `json:"epoch"`
	Rate  float64 `json:"rate_per_s"`
	Run   struct {
		Active  bool   `json:"active"`
		Rows    uint64 `json:"rows"`
		Lost    uint64 `json:"lost"`
		Trouble string `json:"trouble"`
	} `json:"run"`
	Viewers int `json:"viewers"`
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

func (p *plant) begin() { post(p.t, p.page+"api/run/start", `{"note":"under faults"}`) }

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

// TestFaults plays the campaign; JOULEWELL_BENCHES repeats it with other seeds.
func TestFaults(t *testing.T) {
	n := 1
	if text := os.Getenv("JOULEWELL_BENCHES"); text != "" {
		var err error
		if n, err = strconv.Atoi(text); err != nil || n < 1 {
			t.Fatalf("JOULEWELL_BENCHES = %q: must be a number of benches", text)
		}
	}
	for seed := range n {
		for i, c := range []struct {
			name  string
			fault func(*testing.T, *plant, *rand.Rand)
		}{
			{"unplugged", unplugged}, {"killed", killed}, {"stopped", stopped}, {"disk full", diskFull},
			{"folder removed", folderRemoved}, {"no descriptors", noDescriptors}, {"bad viewers", badViewers},
		} {
			t.Run(fmt.Sprintf("%s %d", c.name, seed), func(t *testing.T) {
				t.Parallel()
				c.fault(t, newPlant(t, seed), rand.New(rand.NewPCG(uint64(seed), uint64(i))))
			})
		}
	}
}

// The device goes, at whatever byte it was, and another comes under the same name; one
// run spans both, and nothing stays open of the first.
func unplugged(t *testing.T, p *plant, _ *rand.Rand) {
	p.begin()
	p.rows(100)
	for range 2 {
		p.device.end(syscall.SIGKILL)
		p.await(2*time.Second, "the loss to be told", func(s *state) bool { return s.Link == "waiting" && !s.Fresh && s.Run.Active })
		os.Remove(p.link) // the killed device could not
		p.plugIn(7)
		p.await(10*time.Second, "the device to be back", func(s *state) bool { return s.Link == "live" && s.Fresh })
		p.rows(50)
	}
	if _, terminals := p.descriptors(); terminals != 1 {
		t.Errorf("%d terminals are open, want the present one", terminals)
	}
	post(t, p.page+"api/run/stop", `{}`)
	p.whole(1)
}

// A kill at a random instant costs less than a second of the run.
func killed(t *testing.T, p *plant, rng *rand.Rand) {
	for kill := range 2 {
		p.begin()
		p.rows(130 + rng.Uint64N(60)) // more than a second
		time.Sleep(time.Duration(rng.IntN(100)) * time.Millisecond)
		s, err := p.state()
		if err != nil {
			t.Fatal(err)
		}
		p.daemon.end(syscall.SIGKILL)
		p.serve()
		p.whole(kill + 1)
		runs, _ := filepath.Glob(filepath.Join(p.data, "*.csv"))
		text, err := os.ReadFile(runs[len(runs)-1])
		if err != nil {
			t.Fatal(err)
		}
		if kept := strings.Count(string(text), "\n") - 1; float64(kept) < float64(s.Run.Rows)-s.Rate {
			t.Errorf("%d rows are left of %d, at %g a second", kept, s.Run.Rows, s.Rate)
		}
	}
}

// A daemon that stood still for some seconds goes on; what the terminal could hold
// meanwhile is in the run.
func stopped(t *testing.T, p *plant, rng *rand.Rand) {
	p.begin()
	p.rows(100)
	if err := p.daemon.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	time.Sleep(time.Duration(1500+rng.IntN(1500)) * time.Millisecond) // the fault itself
	if err := p.daemon.Process.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	p.await(time.Second, "readings again", func(s *state) bool { return s.Link == "live" && s.Fresh })
	p.rows(50)
	post(t, p.page+"api/run/stop", `{}`)
	p.whole(1)
}

// Files may grow no further for a while: it is told, rows wait, and none is lost.
func diskFull(t *testing.T, p *plant, _ *rand.Rand) {
	p.begin()
	p.rows(100)
	was := p.limit(unix.RLIMIT_FSIZE, 8<<10)
	p.await(3*time.Second, "the trouble to be told", func(s *state) bool { return strings.Contains(s.Run.Trouble, "wait in memory") && s.Run.Lost == 0 })
	p.rows(50)
	if s, err := p.state(); err != nil || s.Link != "live" {
		t.Errorf("while the disk is full: %+v, %v", s, err)
	}
	p.limit(unix.RLIMIT_FSIZE, was.Cur)
	p.await(6*time.Second, "the trouble to be over", func(s *state) bool { return s.Run.Trouble == "" })
	ended := post(t, p.page+"api/run/stop", `{}`)
	if ended["lost"] != 0.0 {
		t.Errorf("run %v, want nothing lost", ended)
	}
	p.whole(1)
}

// Somebody removes the data folder in the middle of a run: the end of the run is refused
// in words, the daemon lives, and so do the readings.
func folderRemoved(t *testing.T, p *plant, _ *rand.Rand) {
	p.begin()
	p.rows(50)
	if err := os.RemoveAll(p.data); err != nil {
		t.Fatal(err)
	}
	for _, command := range []string{"stop", "start"} {
		r, err := http.Post(p.page+"api/run/"+command, "application/json", strings.NewReader(`{}`))
		if err != nil {
			t.Fatal(err)
		}
		text, _ := io.ReadAll(r.Body)
		r.Body.Close()
		if r.StatusCode != http.StatusInternalServerError || !strings.Contains(string(text), "no such file") {
			t.Errorf("%s without a folder: %s: %s", command, r.Status, text)
		}
	}
	p.await(time.Second, "the run to be over", func(s *state) bool { return s.Link == "live" && s.Fresh && !s.Run.Active })
	if err := p.daemon.end(syscall.SIGTERM); err != nil {
		t.Errorf("SIGTERM: %v", err)
	}
	p.serve() // which makes the folder anew
	p.begin()
	p.rows(50)
	post(t, p.page+"api/run/stop", `{}`)
	p.whole(1)
}

// Without descriptors to spare the run goes on, and with some again so do viewers.
func noDescriptors(t *testing.T, p *plant, _ *rand.Rand) {
	p.begin()
	p.rows(50)
	http.DefaultClient.CloseIdleConnections()
	open, _ := p.descriptors()
	was := p.limit(unix.RLIMIT_NOFILE, uint64(open+4))
	var held []net.Conn
	host := strings.TrimSuffix(strings.TrimPrefix(p.page, "http://"), "/")
	for range 30 {
		c, err := net.Dial("tcp", host)
		if err != nil {
			t.Fatal(err)
		}
		held = append(held, c)
	}
	size := func() int64 {
		parts, _ := filepath.Glob(filepath.Join(p.data, "*.part"))
		if len(parts) != 1 {
			t.Fatalf("unfinished runs %v", parts)
		}
		info, err := os.Stat(parts[0])
		if err != nil {
			t.Fatal(err)
		}
		return info.Size()
	}
	for before, limit := size(), time.Now().Add(10*time.Second); size() < before+10_000; time.Sleep(20 * time.Millisecond) {
		if time.Now().After(limit) {
			t.Fatal("the run does not grow")
		}
	}
	for _, c := range held {
		c.Close()
	}
	p.limit(unix.RLIMIT_NOFILE, was.Cur)
	p.await(5*time.Second, "an answer", func(s *state) bool { return s.Link == "live" && s.Fresh })
	post(t, p.page+"api/run/stop", `{}`)
	p.whole(1)
}

// Viewers who take nothing, and viewers who send what nobody asked for, change nothing
// for one who behaves, and leave nothing open.
func badViewers(t *testing.T, p *plant, rng *rand.Rand) {
	before, _ := p.descriptors()
	p.begin()
	var bad []*websocket.Conn
	address := "ws" + strings.TrimPrefix(p.page, "http") + "live?rate=all"
	for i := range 40 {
		ws, _, err := websocket.DefaultDialer.Dial(address, nil)
		if err != nil {
			t.Fatal(err)
		}
		bad = append(bad, ws)
		if i%2 == 0 {
			continue // takes nothing
		}
		noise := make([]byte, rng.IntN(6000))
		for i := range noise {
			noise[i] = byte(rng.Uint32())
		}
		ws.NetConn().Write(noise) // no frames of the protocol
	}
	watch(t, p.page, 200)
	p.await(5*time.Second, "noisy viewers to be cut", func(s *state) bool { return s.Viewers <= 25 })
	for _, ws := range bad {
		ws.Close()
	}
	p.await(5*time.Second, "all to have left", func(s *state) bool { return s.Viewers == 0 })
	for limit := time.Now().Add(5 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		after, _ := p.descriptors()
		if after <= before+2 { // a question and a command may have left a connection each
			break
		}
		if time.Now().After(limit) {
			t.Fatalf("%d descriptors are open, %d were before", after, before)
		}
	}
	post(t, p.page+"api/run/stop", `{}`)
	p.whole(1)
}
