package source

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/creack/pty"
	"golang.org/x/sys/unix"
)

// What stands in the way of a port, or will, is found without opening it.
func TestInspect(t *testing.T) {
	tr := newTree(t)
	master, terminal, err := pty.Open()
	if err != nil {
		t.Skipf("no pseudo-terminal: %v", err)
	}
	defer master.Close()
	node := terminal.Name()
	tr.plug("ttyUSB0", "1-1", "0403", "6001", "A1")
	tr.node("ttyUSB0", node)
	tr.file("sys/devices/usb1/1-1/1-1:1.0/ttyUSB0/latency_timer", "16\n")
	roots := tr.roots()
	roots.Proc, roots.Run = filepath.Join(tr.root, "proc"), filepath.Join(tr.root, "run")
	tr.dir("proc")
	inspect := func() Inspection {
		t.Helper()
		in, err := Inspect("auto", roots)
		if err != nil {
			t.Fatal(err)
		}
		return in
	}
	if in := inspect(); in.Path != filepath.Join(tr.root, "dev", "ttyUSB0") || in.Latency != 16 || in.Holder != "" || in.Probed || !in.Known || in.Serial != "A1" {
		t.Errorf("an idle port: %+v", in)
	}
	tr.file("proc/4711/comm", "ModemManager\n")
	if in := inspect(); !in.Probed {
		t.Error("a modem manager that runs is not seen")
	}
	var st unix.Stat_t
	if err := unix.Stat(node, &st); err != nil {
		t.Fatal(err)
	}
	tr.file(fmt.Sprintf("run/udev/data/c%d:%d", unix.Major(st.Rdev), unix.Minor(st.Rdev)), "S:joulewell/a\nE:ID_MM_DEVICE_IGNORE=1\n")
	if in := inspect(); in.Probed {
		t.Error("a modem manager that keeps off is blamed")
	}
	tr.file("proc/4712/comm", "cat\n")
	tr.link("proc/4712/fd/3", node)
	if in := inspect(); in.Holder != "process 4712 (cat)" {
		t.Errorf("holder %q", in.Holder)
	}

	for name, c := range map[string]struct {
		is   error
		want string
	}{
		filepath.Join(tr.root, "dev", "none"): {errMissing, "plug the device in"},
		tr.root:                               {errNotSerial, "name a device"},
		"usb:0403:6002":                       {errMissing, "plug it in"},
		"nonsense":                            {nil, "no absolute path"},
	} {
		if _, err := Inspect(name, roots); err == nil || c.is != nil && !errors.Is(err, c.is) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	if os.Getuid() != 0 { // everything is open to root
		terminal.Chmod(0)
		if _, err := Inspect(node, roots); !errors.Is(err, fs.ErrPermission) {
			t.Errorf("a port without access: %v", err)
		}
	}
}
