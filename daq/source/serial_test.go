//go:build linux

package source

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// waiting is a source's waits between tries, which last until the test ends them.
type waiting struct {
	t     *testing.T
	begun chan time.Duration
	over  chan struct{}
}

func patient(t *testing.T, o SerialOptions) (*Serial, *waiting) {
	t.Helper()
	s, err := NewSerial(o)
	if err != nil {
		t.Fatal(err)
	}
	w := &waiting{t, make(chan time.Duration), make(chan struct{})}
	s.wait = func(ctx context.Context, d time.Duration) bool {
		select {
		case w.begun <- d:
		case <-ctx.Done():
			return false
		}
		select {
		case <-w.over:
			return true
		case <-ctx.Done():
			return false
		}
	}
	return s, w
}

// during checks that the source now waits for d, does the work meanwhile and lets the
// source go on.
func (w *waiting) during(d time.Duration, work func()) {
	w.t.Helper()
	select {
	case got := <-w.begun:
		if got != d {
			w.t.Errorf("waits %v before the next try, want %v", got, d)
		}
	case <-time.After(guard):
		w.t.Fatalf("no wait before the next try, want %v", d)
	}
	work()
	w.over <- struct{}{}
}

func nothing() {}

func wantLost(t *testing.T, p *tape, want ...string) {
	t.Helper()
	cause := p.next(Lost).Err.Error()
	for _, w := range want {
		if !strings.Contains(cause, w) {
			t.Errorf("lost: %q does not say %q", cause, w)
		}
	}
}

func TestBytesArriveUnchanged(t *testing.T) {
	c := plugIn(t)
	clock := NewClock()
	s, _ := patient(t, SerialOptions{Port: c.node, Clock: clock})
	before := clock()
	p := play(t, s)
	if e := p.next(Opened); e.Name != c.node {
		t.Errorf("opened %q, want %q", e.Name, c.node)
	}
	c.hear(question)
	// Every byte, so that any translation or control character left on shows.
	var want []byte
	for b := range 256 {
		want = append(want, byte(b))
	}
	for piece := range slices.Chunk(want, 50) {
		c.send(string(piece))
		sent := clock()
		e := p.next(Bytes)
		if !bytes.Equal(e.Bytes, piece) {
			t.Fatalf("received %q, want %q", e.Bytes, piece)
		}
		if e.At < before || e.At > clock() {
			t.Errorf("arrived at %v, sent between %v and %v", e.At, before, sent)
		}
		before = e.At
	}
}

func TestDeviceComesBackUnderAnotherName(t *testing.T) {
	first := plugIn(t)
	tree := newTree(t)
	tree.plug("ttyUSB0", "1-1", "1a86", "7523", "")
	tree.node("ttyUSB0", first.node)
	s, waits := patient(t, SerialOptions{Port: "usb:1a86:7523", Roots: tree.roots()})
	p := play(t, s)
	p.next(Opened)
	first.hear(question)
	first.send("7,1")
	if got := p.bytes(3); string(got) != "7,1" {
		t.Errorf("received %q", got)
	}

	first.unplug()
	tree.unplug("ttyUSB0")
	wantLost(t, p, "read serial port "+first.node, "hung up", "cable")
	waits.during(firstRetry, nothing)
	wantLost(t, p, "usb:1a86:7523", "there is no such device", "no USB serial device is plugged in")

	second := plugIn(t)
	waits.during(2*firstRetry, func() {
		tree.plug("ttyUSB1", "1-2", "1a86", "7523", "")
		tree.node("ttyUSB1", second.node)
	})
	if e := p.next(Opened); e.Name != second.node {
		t.Errorf("opened %q, want %q", e.Name, second.node)
	}
	second.hear(question)
	second.send("0,2\n")
	if got := p.bytes(4); string(got) != "0,2\n" {
		t.Errorf("received %q", got)
	}
	second.unplug()
	wantLost(t, p, "hung up")
	waits.during(firstRetry, nothing) // it worked meanwhile: patience starts anew
}

func TestHungUpLineIsNeitherReadNorReportedInALoop(t *testing.T) {
	link := filepath.Join(t.TempDir(), "port")
	c := plugIn(t)
	point(t, link, c.node)
	s, waits := patient(t, SerialOptions{Port: link})
	p := play(t, s)
	p.next(Opened)
	c.unplug()
	wantLost(t, p, "hung up")
	waits.during(firstRetry, nothing)
	wantLost(t, p, link, "there is no such device", "plug the device in")
	// Events and waits are received in turn: a further Lost, or a try without a wait,
	// would leave Run stuck.
	for _, d := range []time.Duration{500, 1000, 1000, 1000} {
		waits.during(d*time.Millisecond, nothing)
	}
	// A device that is there but never says anything gets no shorter waits: it may
	// be flapping.
	waits.during(lastRetry, func() {
		c = plugIn(t)
		point(t, link, c.node)
	})
	p.next(Opened)
	c.unplug()
	wantLost(t, p, "hung up")
	// A loss after an opening is news, also when its cause reads the same as the last.
	waits.during(lastRetry, func() {
		c = plugIn(t)
		point(t, link, c.node)
	})
	p.next(Opened)
	c.unplug()
	wantLost(t, p, "hung up")
}

func TestRunEndsWithItsContext(t *testing.T) {
	t.Run("mute device", func(t *testing.T) {
		c := plugIn(t)
		s, _ := patient(t, SerialOptions{Port: c.node})
		p := play(t, s)
		p.next(Opened)
		c.hear(question)
		p.end()
	})
	t.Run("device that takes no bytes", func(t *testing.T) {
		c := plugIn(t)
		c.clog()
		s, _ := patient(t, SerialOptions{Port: c.node})
		p := play(t, s)
		p.next(Opened)
		c.send("1\n") // arrives after the question was given up
		p.next(Bytes)
		p.end()
	})
	t.Run("no device", func(t *testing.T) {
		s, _ := patient(t, SerialOptions{Port: filepath.Join(t.TempDir(), "none")})
		p := play(t, s)
		p.next(Lost)
		p.end()
	})
	t.Run("nobody takes the event", func(t *testing.T) {
		c := plugIn(t)
		s, _ := patient(t, SerialOptions{Port: c.node})
		play(t, s).end()
	})
}

func TestPauseIsCutShort(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithTimeout(t.Context(), 3*time.Second)
		defer cancel()
		start := time.Now()
		if !pause(ctx, 2*time.Second) || time.Since(start) != 2*time.Second {
			t.Errorf("a pause of 2 s took %v", time.Since(start))
		}
		if pause(ctx, time.Hour) || time.Since(start) != 3*time.Second {
			t.Errorf("the end of the context after 3 s was noticed after %v", time.Since(start))
		}
	})
}

func TestNewSerialRefuses(t *testing.T) {
	for _, o := range []SerialOptions{
		{Port: ""},
		{Port: "ttyUSB0"},
		{Port: "/dev/ttyUSB0", Baud: -9600},
		{Port: "usb:1a86"},
		{Port: "usb:1a86:752"},
		{Port: "usb:1a86:752g"},
		{Port: "usb:1a86:7523:"},
	} {
		if _, err := NewSerial(o); err == nil {
			t.Errorf("port %q at %d bit/s is taken", o.Port, o.Baud)
		}
	}
}

func TestNotAPort(t *testing.T) {
	file := filepath.Join(t.TempDir(), "notes.txt")
	if err := os.WriteFile(file, []byte("not a port"), 0o600); err != nil {
		t.Fatal(err)
	}
	for _, path := range []string{file, filepath.Dir(file), os.DevNull} {
		s, _ := patient(t, SerialOptions{Port: path})
		wantLost(t, play(t, s), path, "not a serial port", "/dev/ttyUSB0")
	}
}
