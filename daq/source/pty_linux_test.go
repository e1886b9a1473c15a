package source

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// toy is a device that counts how often it was started and asked, and answers.
type toy struct {
	endless
	starts, asks int
	answer       string
}

func (d *toy) Restart() { d.starts++ }
func (d *toy) Ask()     { d.asks++; d.answer = "#asked\n" }
func (d *toy) Next() ([]byte, int64, bool) {
	chunk, at, ok := d.endless.Next()
	if d.answer != "" {
		chunk, d.answer = []byte(d.answer), ""
	}
	return chunk, at, ok
}

// newBoard returns a board that the test moves on step by step.
func newBoard(t *testing.T, p Player, speed float64) *board {
	t.Helper()
	w, err := openWire()
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { w.master.Close() })
	return &board{player: p, wire: w, pace: newPace(PlayOptions{Speed: speed})}
}

func (b *board) mustLook(t *testing.T) (restarted bool) {
	t.Helper()
	restarted, err := b.look()
	if err != nil {
		t.Fatal(err)
	}
	return restarted
}

func (b *board) mustSend(t *testing.T, text string) (rest []byte) {
	t.Helper()
	rest, err := b.send([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return rest
}

func TestBoardRestartsWhenOpened(t *testing.T) {
	device := &toy{}
	b := newBoard(t, device, 1)
	for n := 1; n <= 2; n++ {
		b.mustLook(t)
		b.mustSend(t, "to nobody")
		p := mustOpen(t, b.wire.path, 115200)
		if !b.mustLook(t) || b.mustLook(t) || device.starts != n {
			t.Errorf("opening %d: the device started %d times", n, device.starts)
		}
		b.mustSend(t, "heard")
		if got := readAll(t, p, 5); string(got) != "heard" {
			t.Errorf("opening %d: received %q: what was sent to nobody must be gone", n, got)
		}
		b.mustSend(t, "left unread")
		p.Close()
	}
	b.mustLook(t)
	want := PtyCounts{Opens: 2, Sent: 2 * int64(len("heardleft unread")), Unheard: 2 * int64(len("to nobody"))}
	if b.counts != want {
		t.Errorf("counts %+v, want %+v", b.counts, want)
	}
}

func TestBoardAnswersAQuestion(t *testing.T) {
	device := &toy{}
	b := newBoard(t, device, 1)
	p := mustOpen(t, b.wire.path, 115200)
	defer p.Close()
	for want, command := range []string{"tare\n", question} {
		if _, err := p.Write([]byte(command)); err != nil {
			t.Fatal(err)
		}
		err := onDescriptor(b.wire.master, func(fd int) error {
			_, err := unix.Poll([]unix.PollFd{{Fd: int32(fd), Events: unix.POLLIN}}, int(guard.Milliseconds()))
			return err
		})
		if err != nil {
			t.Fatal(err)
		}
		b.mustLook(t)
		if device.asks != want || b.counts.Asks != want {
			t.Errorf("after %q the device was asked %d times, counted %d; want %d", command, device.asks, b.counts.Asks, want)
		}
	}
}

func TestBoardNeverWaitsForASlowReader(t *testing.T) {
	b := newBoard(t, &toy{}, 1)
	p := mustOpen(t, b.wire.path, 115200)
	defer p.Close()
	b.mustLook(t)
	const size = 1 << 20 // more than any terminal holds
	if rest := b.mustSend(t, strings.Repeat("x", size)); len(rest) > 0 {
		t.Errorf("a paced device keeps %d bytes for later", len(rest))
	}
	if b.counts.Dropped == 0 || b.counts.Sent == 0 || b.counts.Sent+b.counts.Dropped != size {
		t.Errorf("counts %+v: want some sent, some dropped, %d in all", b.counts, size)
	}
}

func TestBoardMakesTheTerminalRawAgain(t *testing.T) {
	b := newBoard(t, &toy{}, 1)
	f, err := os.OpenFile(b.wire.path, os.O_RDWR|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	b.mustLook(t)
	err = onDescriptor(f, func(fd int) error {
		s, err := unix.IoctlGetTermios(fd, unix.TCGETS)
		if err != nil {
			return err
		}
		if s.Lflag&(unix.ECHO|unix.ICANON) != 0 || s.Iflag&unix.ICRNL != 0 {
			t.Errorf("a new terminal is not raw: input %#o, local %#o", s.Iflag, s.Lflag)
		}
		s.Lflag |= unix.ECHO // a reader that leaves it so would have the device hear itself
		return unix.IoctlSetTermios(fd, unix.TCSETS, s)
	})
	if err != nil {
		t.Fatal(err)
	}
	f.Close()
	b.mustLook(t)
	if f, err = os.OpenFile(b.wire.path, os.O_RDWR|unix.O_NOCTTY, 0); err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	_ = onDescriptor(f, func(fd int) error {
		if s, err := unix.IoctlGetTermios(fd, unix.TCGETS); err != nil || s.Lflag&unix.ECHO != 0 {
			t.Errorf("echo is still on after the reader left (%v)", err)
		}
		return nil
	})
}

// stage runs ServePty and gives the path to open.
type stage struct {
	path string
	stop context.CancelFunc
	done chan PtyCounts
}

func serve(t *testing.T, p Player, o PtyOptions) *stage {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	s := &stage{stop: cancel, done: make(chan PtyCounts, 1)}
	ready := make(chan string, 1)
	o.Ready = func(path string) { ready <- path }
	go func() {
		counts, err := ServePty(ctx, p, o)
		if err != nil {
			t.Error(err)
		}
		s.done <- counts
		close(s.done)
	}()
	t.Cleanup(func() { s.stop(); s.counts(t) })
	select {
	case s.path = <-ready:
	case <-time.After(guard):
		t.Fatal("the pseudo-terminal is never ready")
	}
	return s
}

// counts waits until the play is over and returns what became of the output.
func (s *stage) counts(t *testing.T) PtyCounts {
	t.Helper()
	select {
	case c := <-s.done:
		return c
	case <-time.After(guard):
		t.Fatal("ServePty does not return")
	}
	return PtyCounts{}
}

func TestServedDeviceIsReadLikeARealOne(t *testing.T) {
	device := &toy{endless: endless{every: time.Millisecond, text: "5,1\n"}}
	st := serve(t, device, PtyOptions{Speed: 1, Link: filepath.Join(t.TempDir(), "port")})
	s, waits := patient(t, SerialOptions{Port: st.path})
	p := play(t, s)
	p.next(Opened)
	var got []byte
	for !bytes.Contains(got, []byte("#asked\n")) {
		got = append(got, p.next(Bytes).Bytes...)
	}
	if rest := strings.ReplaceAll(string(got), "5,1\n", ""); !strings.HasPrefix(rest, "#asked\n") {
		t.Errorf("received %q", got)
	}
	st.stop()
	counts := st.counts(t)
	for p.any().Kind != Lost {
	}
	waits.during(firstRetry, nothing)
	wantLost(t, p, "there is no such device")
	if device.starts != 1 || device.asks != 1 || counts.Opens != 1 || counts.Asks != 1 {
		t.Errorf("started %d times, asked %d times, counts %+v; want one each", device.starts, device.asks, counts)
	}
	if _, err := os.Lstat(st.path); err == nil {
		t.Error("the link stays behind")
	}
}

// The same recording through the file and through a terminal gives the same bytes.
func TestUnpacedTerminalLosesNothing(t *testing.T) {
	var want []byte
	var events []Event
	for n := range 5000 {
		line := fmt.Appendf(nil, "%d,%d,3171,-184223,2140\r\n", n, 10_000*n)
		want = append(want, line...)
		events = append(events, Event{Kind: Bytes, At: time.Duration(n) * 10 * time.Millisecond, Bytes: line})
	}
	var file bytes.Buffer
	collect(RecordTo(&file, live{events, true}))
	rec, err := NewRecording(&file, PlayOptions{})
	if err != nil {
		t.Fatal(err)
	}
	st := serve(t, rec, PtyOptions{})
	s, _ := patient(t, SerialOptions{Port: st.path})
	p := play(t, s)
	p.next(Opened)
	if got := p.bytes(len(want)); !bytes.Equal(got, want) {
		t.Errorf("received %d bytes that are not the %d of the recording", len(got), len(want))
	}
	p.end()
	// The recording is at its end and the reader gone: ServePty returns by itself.
	if counts := st.counts(t); counts.Sent != int64(len(want)) || counts.Dropped+counts.Unheard != 0 {
		t.Errorf("counts %+v, want %d bytes sent", counts, len(want))
	}
}

func TestPlayToNobodyEnds(t *testing.T) {
	st := serve(t, unhurried(), PtyOptions{Speed: 100})
	if counts := st.counts(t); counts.Unheard != 3 || counts.Sent != 0 {
		t.Errorf("counts %+v, want 3 bytes unheard", counts)
	}
}

func TestTerminalLink(t *testing.T) {
	dir := t.TempDir()
	stale := filepath.Join(dir, "stale")
	if err := os.Symlink("/dev/pts/999999", stale); err != nil {
		t.Fatal(err)
	}
	st := serve(t, &toy{endless: endless{every: time.Second}}, PtyOptions{Speed: 1, Link: stale})
	if to, err := os.Readlink(stale); err != nil || to == "/dev/pts/999999" {
		t.Errorf("the leftover link leads to %q, %v", to, err)
	}
	if _, err := ServePty(t.Context(), unhurried(), PtyOptions{Link: stale, Speed: 100}); err == nil || !strings.Contains(err.Error(), "in use") {
		t.Errorf("a second player on a live link = %v, want a refusal", err)
	}
	// Another process takes the link over: it is no longer ours to remove.
	point(t, stale, "/dev/pts/999998")
	st.stop()
	st.counts(t)
	if to, _ := os.Readlink(stale); to != "/dev/pts/999998" {
		t.Errorf("another's link was changed to %q", to)
	}

	file := filepath.Join(dir, "notes.txt")
	elsewhere := filepath.Join(dir, "elsewhere")
	if err := os.WriteFile(file, []byte("keep"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(file, elsewhere); err != nil {
		t.Fatal(err)
	}
	for _, taken := range []string{file, elsewhere} {
		if _, err := ServePty(t.Context(), unhurried(), PtyOptions{Link: taken, Speed: 100}); err == nil || !strings.Contains(err.Error(), taken) {
			t.Errorf("%s: %v, want a refusal", taken, err)
		}
		if text, err := os.ReadFile(taken); string(text) != "keep" {
			t.Errorf("%s was overwritten: %q, %v", taken, text, err)
		}
	}
}
