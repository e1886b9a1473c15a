package daq

import (
	"context"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"

	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/wire"
)

// socket is a place where a device is plugged in: a link to its terminal.
type socket struct {
	t      *testing.T
	link   string
	device *os.File
	host   *os.File
	seq    uint32
}

// plug puts a new device in and waits until the host asks it who it is.
func (s *socket) plug() {
	s.t.Helper()
	var err error
	if s.device, s.host, err = pty.Open(); err != nil {
		s.t.Skipf("no pseudo-terminal: %v", err)
	}
	raw, err := s.host.SyscallConn()
	if err == nil {
		err = raw.Control(func(fd uintptr) {
			if attr, e := unix.IoctlGetTermios(int(fd), unix.TCGETS); e == nil {
				attr.Iflag, attr.Oflag, attr.Lflag = 0, 0, 0
				unix.IoctlSetTermios(int(fd), unix.TCSETS, attr)
			}
		})
	}
	os.Remove(s.link)
	if err == nil {
		err = os.Symlink(s.host.Name(), s.link)
	}
	for one := []byte{0}; err == nil && one[0] != '?'; {
		_, err = s.device.Read(one)
	}
	if err != nil {
		s.t.Fatal(err)
	}
	s.say("\n#fields seq,t_us,range_mm\n")
}

func (s *socket) say(text string) {
	s.t.Helper()
	if _, err := s.device.WriteString(text); err != nil {
		s.t.Fatal(err)
	}
}

func (s *socket) unplug() {
	s.device.Close()
	s.host.Close()
}

// line is the next line of the device, which counts from its opening on.
func (s *socket) line(n int) string {
	var r wire.Reading
	s.seq++
	r.Seq, r.DeviceUs = s.seq, uint32(10_000*n)
	r.Set(wire.RangeMm, float64(600+n))
	return string(wire.AppendReading(nil, []wire.Column{wire.Seq, wire.DeviceUs, wire.RangeMm}, &r))
}

// A device is unplugged after each byte of a line, on a real terminal: each time it is
// told, each time the next one is read, and one run over all of them holds every reading
// that came whole. JOULEWELL_BENCHES plays every byte, else some.
func TestUnpluggedAtEveryByte(t *testing.T) {
	s := &socket{t: t, link: filepath.Join(t.TempDir(), "port")}
	clock := source.NewClock()
	serial, err := source.NewSerial(source.SerialOptions{Port: s.link, Clock: clock})
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	bn, err := New(Options{Setup: bench(), Source: serial, Clock: clock, Dir: dir, Device: setup.Device{RequireChecksum: true}})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	over := make(chan error, 1)
	go func() { over <- bn.Run(ctx) }()
	await := func(what string, ok func(*Status) bool) {
		t.Helper()
		for limit := time.Now().Add(20 * time.Second); !ok(bn.Status()); time.Sleep(time.Millisecond) {
			if time.Now().After(limit) {
				t.Fatalf("no %s: %+v", what, bn.Status())
			}
		}
	}

	length := len(s.line(20))
	s.seq = 0
	cuts := rand.New(rand.NewPCG(20261127, 7)).Perm(length + 1)
	if benches(t, 1) == 1 {
		cuts = cuts[:4]
	}
	const lines = 20
	want, recording := uint64(0), false
	for _, cut := range cuts {
		s.plug()
		for n := range lines {
			s.say(s.line(n))
		}
		part := s.line(lines)
		part = part[:min(cut, len(part))]
		s.say(part)
		want += lines
		if part[max(len(part)-1, 0):] == "\n" {
			want++
		}
		await("readings", func(st *Status) bool { return st.Lines.Accepted == want })
		if !recording {
			if _, err := bn.StartRun("unplugged"); err != nil {
				t.Fatal(err)
			}
			recording = true
		}
		s.unplug()
		await("word of the loss", func(st *Status) bool { return st.Link == Waiting && !st.Fresh && st.Run.Active })
	}
	run, err := bn.StopRun()
	if err != nil || run.Lost > 0 {
		t.Errorf("run %+v, %v", run, err)
	}
	cancel()
	if err := <-over; err != nil {
		t.Error(err)
	}
	st := bn.Status()
	if n := st.Lines.Lines(); n != want+uint64(len(cuts)) || st.Opens != uint64(len(cuts)) {
		t.Errorf("%d lines are accounted for in %d openings, %d readings and %d lists of fields were sent whole", n, st.Opens, want, len(cuts))
	}
	file, err := runfile.Open(filepath.Join(dir, run.Name+".csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	c, err := Compare(file, file.Meta(), func(*frame.Frame) {})
	if err != nil || c.Differing > 0 || uint64(c.Rows) != want-st.Misplaced || run.Rows != want-st.Misplaced {
		t.Errorf("%+v of %d readings, %d of them misplaced, %v", c, want, st.Misplaced, err)
	}
	t.Logf("unplugged after bytes %v of %d: %d readings, %d misplaced", cuts, length, want, st.Misplaced)
}
