package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
)

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
