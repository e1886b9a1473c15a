//go:build linux

package source

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// cable is a pseudo-terminal with the test at the device's end.
type cable struct {
	t      testing.TB
	device *os.File
	node   string // what the daemon opens
}

func plugIn(t testing.TB) *cable {
	t.Helper()
	device, slave, err := pty.Open()
	if err != nil {
		t.Fatalf("no pseudo-terminal: %v", err)
	}
	node := slave.Name()
	slave.Close()
	if err := onDescriptor(device, func(fd int) error { return unix.SetNonblock(fd, true) }); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { device.Close() })
	return &cable{t, device, node}
}

func (c *cable) unplug() { c.device.Close() }

func (c *cable) send(s string) {
	c.t.Helper()
	if err := c.device.SetWriteDeadline(time.Now().Add(guard)); err != nil {
		c.t.Fatal(err)
	}
	if _, err := c.device.WriteString(s); err != nil {
		c.t.Fatalf("device sends: %v", err)
	}
}

// hear waits until the host has sent want.
func (c *cable) hear(want string) {
	c.t.Helper()
	if err := c.device.SetReadDeadline(time.Now().Add(guard)); err != nil {
		c.t.Fatal(err)
	}
	var got []byte
	buf := make([]byte, 256)
	for !bytes.Contains(got, []byte(want)) {
		n, err := c.device.Read(buf)
		got = append(got, buf[:n]...)
		if err != nil {
			c.t.Fatalf("device heard %q, then %v; want %q", got, err, want)
		}
	}
	if string(got) != want {
		c.t.Fatalf("device heard %q, want %q", got, want)
	}
}

// clog fills the way from host to device until it takes no more.
func (c *cable) clog() {
	c.t.Helper()
	f, err := os.OpenFile(c.node, os.O_RDWR|unix.O_NONBLOCK|unix.O_NOCTTY, 0)
	if err != nil {
		c.t.Fatal(err)
	}
	c.t.Cleanup(func() { f.Close() })
	// Settings first: a line that is made raw later has room again.
	if err := configure(c.node, 115200); err != nil {
		c.t.Fatal(err)
	}
	// Where a block finds no room a byte may, and the kernel makes room in the
	// background without telling: full is what takes no byte three times.
	for size, refused := 4096, 0; refused < 3; {
		if err := f.SetWriteDeadline(time.Now().Add(idleAfter)); err != nil {
			c.t.Fatal(err)
		}
		n, err := f.Write(bytes.Repeat([]byte("x"), size))
		if err != nil && !errors.Is(err, os.ErrDeadlineExceeded) {
			c.t.Fatalf("filling the line: %v", err)
		}
		if refused++; n > 0 {
			refused = 0
		} else {
			size = 1
		}
	}
}

// point makes link lead to node, at once, as udev does.
func point(t testing.TB, link, node string) {
	t.Helper()
	fresh := filepath.Join(t.TempDir(), "link")
	if err := os.Symlink(node, fresh); err != nil {
		t.Fatal(err)
	}
	if err := os.Rename(fresh, link); err != nil {
		t.Fatal(err)
	}
}
