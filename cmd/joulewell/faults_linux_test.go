package main

import (
	"fmt"
	"math/rand/v2"
	"net"
	"net/http"
	"os"
	"path/filepath"
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

// TestFaults plays the campaign; JOULEWELL_BENCHES repeats it with other seeds.
func TestFaults(t *testing.T) {
	for seed := range campaigns(t) {
		for i, c := range []struct {
			name  string
			fault func(*testing.T, *plant, *rand.Rand)
		}{
			{"unplugged", unplugged}, {"killed", killed}, {"stopped", stopped}, {"device stopped", deviceStopped}, {"disk full", diskFull},
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
		p.sees(patience, "the loss", func(s *state) bool { return s.Link == "waiting" && !s.Fresh && s.Run.Active })
		os.Remove(p.link) // the killed device could not
		p.plugIn(7)
		p.await(10*time.Second, "the device to be back", func(s *state) bool { return s.Link == "live" && s.Fresh })
		p.rows(50)
	}
	p.end()
	p.whole(1)
	p.leaves()
}

// A device that hangs and keeps its port open is told within a second, and so is that it
// goes on.
func deviceStopped(t *testing.T, p *plant, rng *rand.Rand) {
	p.record(func() {
		p.rows(100)
		if err := p.device.Process.Signal(syscall.SIGSTOP); err != nil {
			t.Fatal(err)
		}
		p.sees(patience, "the silence", func(s *state) bool { return s.Link == "silent" && !s.Fresh && s.Run.Active })
		time.Sleep(time.Duration(rng.IntN(500)) * time.Millisecond)
		p.goOn()
		p.sees(patience, "readings", func(s *state) bool { return s.Link == "live" && s.Fresh })
		p.rows(50)
	})
	p.whole(1)
	p.leaves()
}

// A kill at a random instant, in a run, while it is being closed, or while an earlier one is
// being repaired, costs nothing that was a second old.
func killed(t *testing.T, p *plant, rng *rand.Rand) {
	moment := func(most int) { time.Sleep(time.Duration(rng.IntN(most)) * time.Millisecond) }
	for kill := range 2 {
		life := rng.IntN(2500) // [ms]
		if kill == 0 {
			life = 1300 + life/2 // long enough for something to be a second old
		}
		name := p.begin()
		var rows []uint64 // of the run, as was told
		var at []time.Time
		for end := time.Now().Add(time.Duration(life) * time.Millisecond); time.Now().Before(end); moment(40) {
			s, err := p.state()
			if err != nil {
				t.Fatal(err)
			}
			rows, at = append(rows, s.Run.Rows), append(at, time.Now())
		}
		stopping, stop := make(chan struct{}), rng.IntN(4) == 0
		go func() {
			defer close(stopping)
			if stop {
				if r, err := http.Post(p.page+"api/run/stop", "application/json", strings.NewReader(`{}`)); err == nil {
					r.Body.Close()
				}
			}
		}()
		moment(30)
		p.daemon.end(syscall.SIGKILL)
		killed := time.Now()
		<-stopping
		if rng.IntN(4) == 0 {
			again := startAs(t, p.command())
			moment(60)
			again.end(syscall.SIGKILL)
		}
		p.serve()
		text, err := os.ReadFile(filepath.Join(p.data, name+".csv"))
		if err != nil && !os.IsNotExist(err) {
			t.Fatal(err)
		}
		kept := uint64(max(strings.Count(string(text), "\n"), 1) - 1) // a run without a row is not kept
		for i := range rows {
			if killed.Sub(at[i]) > time.Second && kept < rows[i] {
				t.Errorf("%d rows are left of %d that were there %v before the kill", kept, rows[i], killed.Sub(at[i]))
			}
		}
		if n := len(rows); n > 0 {
			t.Logf("killed %v after the start: %d rows are left of %d", killed.Sub(at[0]).Round(time.Millisecond), kept, rows[n-1])
		}
	}
	runs, _ := filepath.Glob(filepath.Join(p.data, "*.csv"))
	p.whole(len(runs))
	p.leaves()
}

// A daemon that stood still for some seconds goes on; what the terminal could hold
// meanwhile is in the run.
func stopped(t *testing.T, p *plant, rng *rand.Rand) {
	p.begin()
	p.rows(100)
	if err := p.daemon.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	stop := 1500 + rng.IntN(1500) // [ms]
	if campaigns(t) > 1 {
		stop = 10_000
	}
	time.Sleep(time.Duration(stop) * time.Millisecond) // the fault itself
	if err := p.daemon.Process.Signal(syscall.SIGCONT); err != nil {
		t.Fatal(err)
	}
	p.sees(patience, "readings again", func(s *state) bool { return s.Link == "live" && s.Fresh })
	p.rows(50)
	p.end()
	p.whole(1)
	p.leaves()
}

// Files may grow no further for a while: it is told, rows wait, and none is lost.
func diskFull(t *testing.T, p *plant, _ *rand.Rand) {
	p.begin()
	p.rows(100)
	was := p.limit(unix.RLIMIT_FSIZE, 8<<10)
	p.sees(patience, "the trouble", func(s *state) bool { return strings.Contains(s.Run.Trouble, "wait in memory") && s.Run.Lost == 0 })
	p.rows(50)
	if s, err := p.state(); err != nil || s.Link != "live" {
		t.Errorf("while the disk is full: %+v, %v", s, err)
	}
	p.limit(unix.RLIMIT_FSIZE, was.Cur)
	p.await(6*time.Second, "the trouble to be over", func(s *state) bool { return s.Run.Trouble == "" })
	p.end()
	p.whole(1)
	p.leaves()
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
		if why := p.refuses(command); !strings.Contains(why, "no such file") {
			t.Errorf("%s without a folder: %s", command, why)
		}
	}
	p.sees(patience, "the run to be over", func(s *state) bool { return s.Link == "live" && s.Fresh && !s.Run.Active })
	if err := p.daemon.end(syscall.SIGTERM); err != nil {
		t.Errorf("SIGTERM: %v", err)
	}
	p.serve() // which makes the folder anew
	p.begin()
	p.rows(50)
	p.end()
	p.whole(1)
	p.leaves()
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
	p.end()
	p.whole(1)
	p.leaves()
}

// Viewers who take nothing, and viewers who send what nobody asked for, change nothing
// for one who behaves, and leave nothing open.
func badViewers(t *testing.T, p *plant, rng *rand.Rand) {
	before, _ := p.descriptors()
	p.begin()
	var bad []*websocket.Conn
	address := "ws" + strings.TrimPrefix(p.page, "http") + "live?rate=all"
	for i := range 200 {
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
	p.await(5*time.Second, "noisy viewers to be cut", func(s *state) bool { return s.Viewers <= 110 })
	for _, ws := range bad {
		ws.Close()
	}
	p.await(5*time.Second, "all to have left", func(s *state) bool { return s.Viewers == 1 })
	for limit := time.Now().Add(5 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		after, _ := p.descriptors()
		if after <= before+2 { // a question and a command may have left a connection each
			break
		}
		if time.Now().After(limit) {
			t.Fatalf("%d descriptors are open, %d were before", after, before)
		}
	}
	p.end()
	p.whole(1)
	p.leaves()
}
