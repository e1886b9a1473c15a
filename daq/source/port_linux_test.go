package source

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"
	"unsafe"

	"golang.org/x/sys/unix"
)

func mustOpen(t testing.TB, node string, baud int) *tty {
	t.Helper()
	p, _, err := openPort(node, baud, "/proc")
	if err != nil {
		t.Fatal(err)
	}
	return p.(*tty)
}

// readAll reads until n bytes are there.
func readAll(t testing.TB, p port, n int) []byte {
	t.Helper()
	var got []byte
	buf := make([]byte, 4096)
	for len(got) < n {
		k, err := p.Read(buf)
		got = append(got, buf[:k]...)
		if err != nil && err != errIdle {
			t.Fatalf("after %q: %v", got, err)
		}
	}
	return got
}

func TestLineSettings(t *testing.T) {
	c := plugIn(t)
	p := mustOpen(t, c.node, 57600)
	defer p.Close()
	var s *unix.Termios
	if err := p.control(func(fd int) (err error) { s, err = unix.IoctlGetTermios(fd, unix.TCGETS); return err }); err != nil {
		t.Fatal(err)
	}
	// Values of termios(3): 57600 bit/s, 8N1, no flow control, no hang-up on close.
	if s.Cflag&unix.CBAUD != unix.B57600 {
		t.Errorf("rate bits are %#o, want %#o", s.Cflag&unix.CBAUD, unix.B57600)
	}
	if s.Cflag&(unix.CSIZE|unix.PARENB|unix.CSTOPB|unix.CRTSCTS|unix.HUPCL) != unix.CS8 {
		t.Errorf("control bits are %#o, want 8N1 without flow control and hang-up", s.Cflag)
	}
}

func TestOneProgramAtATime(t *testing.T) {
	c := plugIn(t)
	child := hold(t, c.node)
	s, waits := patient(t, SerialOptions{Port: c.node})
	p := play(t, s)
	wantLost(t, p, c.node, "another program holds it", fmt.Sprintf("process %d (", child.Process.Pid), "stop it")
	waits.during(firstRetry, func() {
		if err := child.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		child.Wait()
	})
	p.next(Opened)
}

func TestRefusedProgramChangesNothing(t *testing.T) {
	c := plugIn(t)
	p := mustOpen(t, c.node, 9600)
	defer p.Close()
	_, _, err := openPort(c.node, 115200, "/proc")
	if err == nil || !strings.Contains(err.Error(), "this program itself") {
		t.Errorf("a second opening by this program gives %v", err)
	}
	got := output(t, false, "open", c.node)
	if want := fmt.Sprintf("process %d (", os.Getpid()); !strings.Contains(got, want) {
		t.Errorf("a second program is told %q, want %q in it", got, want)
	}
	var s *unix.Termios
	if err := p.control(func(fd int) (err error) { s, err = unix.IoctlGetTermios(fd, unix.TCGETS); return err }); err != nil {
		t.Fatal(err)
	}
	if s.Cflag&unix.CBAUD != unix.B9600 {
		t.Error("the refused program changed the bit rate")
	}
	c.send("still here")
	if got := readAll(t, p, 10); string(got) != "still here" {
		t.Errorf("the first holder received %q", got)
	}
}

func TestForbiddenPort(t *testing.T) {
	c := plugIn(t)
	if err := os.Chmod(c.node, 0); err != nil {
		t.Fatal(err)
	}
	got := output(t, true, "open", c.node)
	for _, want := range []string{"open serial port " + c.node, "permission denied", rulesFile, "group"} {
		if !strings.Contains(got, want) {
			t.Errorf("an ordinary user is told %q, want %q in it", got, want)
		}
	}
}

func TestForbiddenSaysWhatToDo(t *testing.T) {
	for _, c := range []struct{ group, want, not string }{
		{"dialout", "belongs to group dialout: add the user to it", ""},
		{"joulewell", "belongs to group joulewell: add the user to it", rulesFile},
		{"root", rulesFile, "to it and log in"},
		{"", rulesFile, "belongs"},
	} {
		got := forbidden("/dev/ttyUSB0", c.group).Error()
		if !strings.Contains(got, c.want) || c.not != "" && strings.Contains(got, c.not) {
			t.Errorf("group %q: %q, want %q in it and %q not", c.group, got, c.want, c.not)
		}
	}
}

func TestClosingTakesNoForeignBytes(t *testing.T) {
	c := plugIn(t)
	stop := make(chan struct{})
	var beside sync.WaitGroup
	defer beside.Wait()
	defer close(stop)
	beside.Go(func() { chatter(c, stop) })
	dir := t.TempDir()
	for i := range 3 {
		beside.Go(func() { fileTraffic(t, filepath.Join(dir, fmt.Sprint(i)), stop) })
	}
	for range 300 {
		s, err := NewSerial(SerialOptions{Port: c.node, Roots: Roots{Proc: dir}}) // nobody to look for
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		s.Run(ctx, func(e Event) bool {
			if e.Kind == Lost {
				t.Error(e.Err)
			}
			if i := bytes.IndexFunc(e.Bytes, func(r rune) bool { return r != 'd' }); i >= 0 {
				t.Errorf("received %q, which the device did not send", e.Bytes[i:])
			}
			if e.Kind == Bytes {
				cancel()
			}
			return ctx.Err() == nil
		})
		cancel()
	}
}

// chatter makes the device send "d" for as long as the test runs.
func chatter(c *cable, stop chan struct{}) {
	for {
		select {
		case <-stop:
			return
		default:
		}
		_ = c.device.SetWriteDeadline(time.Now().Add(idleAfter))
		_, _ = c.device.Write(bytes.Repeat([]byte("d"), 100))
	}
}

// fileTraffic writes and reads files, whose descriptors take the numbers of closed ports.
func fileTraffic(t *testing.T, name string, stop chan struct{}) {
	const text = "words of another file"
	for {
		select {
		case <-stop:
			return
		default:
		}
		f, err := os.Create(name)
		if err != nil {
			t.Error(err)
			return
		}
		f.WriteString(text)
		f.Close()
		if got, err := os.ReadFile(name); string(got) != text {
			t.Errorf("a file holds %q, %v: the port's bytes went astray", got, err)
			return
		}
	}
}

func TestDescriptorAboveSelectLimit(t *testing.T) {
	const many = 1100 // select(2) knows 1024
	var limit unix.Rlimit
	if err := unix.Getrlimit(unix.RLIMIT_NOFILE, &limit); err != nil {
		t.Fatal(err)
	}
	if limit.Cur < many+100 {
		if limit.Max < many+100 {
			t.Skipf("this system allows only %d open files, the test needs %d", limit.Max, many+100)
		}
		raised := unix.Rlimit{Cur: many + 100, Max: limit.Max}
		if err := unix.Setrlimit(unix.RLIMIT_NOFILE, &raised); err != nil {
			t.Skipf("the limit of open files is %d and cannot be raised: %v", limit.Cur, err)
		}
		defer unix.Setrlimit(unix.RLIMIT_NOFILE, &limit)
	}
	for range many {
		f, err := os.Open(os.DevNull)
		if err != nil {
			t.Fatal(err)
		}
		defer f.Close()
	}
	c := plugIn(t)
	p := mustOpen(t, c.node, 115200)
	defer p.Close()
	_ = p.control(func(fd int) error {
		if fd <= 1024 {
			t.Errorf("the port has descriptor %d, want one above 1024", fd)
		}
		return nil
	})
	c.send("high up")
	if got := readAll(t, p, 7); string(got) != "high up" {
		t.Errorf("received %q", got)
	}
}

// Children are started all the while, also in the middle of an opening.
func TestChildrenDoNotInheritThePort(t *testing.T) {
	c := plugIn(t)
	stop := make(chan struct{})
	var opening sync.WaitGroup
	opening.Go(func() {
		for {
			select {
			case <-stop:
				return
			default:
				p, _, err := openPort(c.node, 115200, "/proc")
				if err != nil {
					t.Error(err)
					return
				}
				p.Close()
			}
		}
	})
	for range 20 {
		if has := output(t, false, "descriptors", ""); strings.Contains(has, c.node) {
			t.Errorf("a child process has the port open:\n%s", has)
			break
		}
	}
	close(stop)
	opening.Wait()
}

func TestSerialStructLayout(t *testing.T) {
	// linux/serial.h as a C compiler lays it out on 64-bit machines: 72 bytes, flags
	// at 16, iomem_base at 48.
	var s serialStruct
	if unsafe.Sizeof(uintptr(0)) != 8 {
		t.Skip("the figures are for 64-bit machines")
	}
	if size, flags, base := unsafe.Sizeof(s), unsafe.Offsetof(s.Flags), unsafe.Offsetof(s.IomemBase); size != 72 || flags != 16 || base != 48 {
		t.Errorf("size %d, flags at %d, iomem_base at %d; want 72, 16, 48", size, flags, base)
	}
}
