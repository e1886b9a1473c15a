package source

import (
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
)

// tree is an invented /sys and /dev.
type tree struct {
	t    *testing.T
	root string
}

func newTree(t *testing.T) *tree {
	tr := &tree{t, t.TempDir()}
	tr.dir("sys/class/tty/tty0") // a console: no device behind it
	tr.dir("dev")
	tr.file("sys/devices/usb1/idVendor", "1d6b\n") // the hub at the root has ids too
	return tr
}

func (tr *tree) roots() Roots {
	return Roots{Sys: filepath.Join(tr.root, "sys"), Dev: filepath.Join(tr.root, "dev")}
}

func (tr *tree) must(err error) {
	tr.t.Helper()
	if err != nil {
		tr.t.Fatal(err)
	}
}

func (tr *tree) dir(path string) {
	tr.t.Helper()
	tr.must(os.MkdirAll(filepath.Join(tr.root, path), 0o755))
}

func (tr *tree) file(path, text string) {
	tr.t.Helper()
	tr.dir(filepath.Dir(path))
	tr.must(os.WriteFile(filepath.Join(tr.root, path), []byte(text), 0o660))
}

func (tr *tree) link(path, to string) {
	tr.t.Helper()
	tr.dir(filepath.Dir(path))
	tr.must(os.Symlink(to, filepath.Join(tr.root, path)))
}

// plug adds a USB serial device, laid out as the kernel does it.
func (tr *tree) plug(tty, place, vendor, product, serial string) {
	tr.t.Helper()
	usb := "sys/devices/usb1/" + place
	folder := usb + "/" + place + ":1.0/" + tty
	tr.file(usb+"/idVendor", vendor+"\n")
	tr.file(usb+"/idProduct", product+"\n")
	if serial != "" {
		tr.file(usb+"/serial", serial+"\n")
	}
	tr.dir(folder + "/tty/" + tty)
	tr.link(folder+"/tty/"+tty+"/device", "../../../"+tty)
	tr.link("sys/class/tty/"+tty, "../../devices/usb1/"+place+"/"+place+":1.0/"+tty+"/tty/"+tty)
}

// node makes the device node: a link to a pseudo-terminal, or a file if to is empty.
func (tr *tree) node(tty, to string) {
	tr.t.Helper()
	if to == "" {
		tr.file("dev/"+tty, "")
		return
	}
	tr.link("dev/"+tty, to)
}

func (tr *tree) unplug(tty string) {
	tr.t.Helper()
	tr.must(os.Remove(filepath.Join(tr.root, "sys/class/tty", tty)))
	tr.must(os.Remove(filepath.Join(tr.root, "dev", tty)))
}

func TestListPorts(t *testing.T) {
	tr := newTree(t)
	tr.plug("ttyACM0", "1-2", "2341", "0043", "7593A1")
	tr.file("sys/devices/usb1/1-2/manufacturer", "Harbour Works\n")
	tr.file("sys/devices/usb1/1-2/product", "Bench board\n")
	tr.node("ttyACM0", "")
	tr.link("dev/serial/by-id/usb-bench-7593A1", "../../ttyACM0")
	tr.link("dev/serial/by-path/usb-1-2", "../../ttyACM0")
	tr.plug("ttyUSB0", "1-1", "1A86", "7523", "") // no serial number, shared by-id link
	tr.node("ttyUSB0", "")
	tr.link("dev/serial/by-id/usb-bridge", "../../ttyUSB0")
	tr.link("dev/serial/by-path/usb-1-1", "../../ttyUSB0")
	tr.plug("ttyUSB1", "1-3", "0bda", "8153", "")
	tr.node("ttyUSB1", "")
	tr.link("dev/joulewell/path-1-3", "../ttyUSB1")
	tr.link("dev/serial/by-path/usb-1-3", "../../ttyUSB1")
	tr.plug("ttyUSB2", "1-4", "1a86", "7523", "") // in /sys only: just gone
	tr.link("sys/class/tty/ttyS0/device", "../../../devices/platform")
	tr.dir("sys/devices/platform")
	tr.file("sys/class/tty/ttyS0/type", "0\n") // a place that nothing is fitted to
	tr.node("ttyS0", "")

	dev := tr.roots().Dev
	group := groupOf(filepath.Join(dev, "ttyS0"))
	want := []Port{
		{Path: dev + "/ttyACM0", Link: dev + "/serial/by-id/usb-bench-7593A1", Vendor: "2341", Product: "0043",
			Serial: "7593A1", Text: "Harbour Works Bench board", Group: group, Access: true, Known: true, Usable: true},
		{Path: dev + "/ttyS0", Group: group, Access: true},
		{Path: dev + "/ttyUSB0", Link: dev + "/serial/by-path/usb-1-1", Vendor: "1a86", Product: "7523",
			Group: group, Access: true, Known: true, Usable: true},
		{Path: dev + "/ttyUSB1", Link: dev + "/joulewell/path-1-3", Vendor: "0bda", Product: "8153",
			Group: group, Access: true, Usable: true},
	}
	got, err := ListPorts(tr.roots())
	if err != nil {
		t.Fatal(err)
	}
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) || !reflect.DeepEqual(got[i], want[i]) {
			t.Fatalf("ports are\n%+v\nwant\n%+v", got, want)
		}
	}
	if group == "" {
		t.Error("the group of a file is not known")
	}
}

func TestListPortsWithoutSys(t *testing.T) {
	if _, err := ListPorts(Roots{Sys: filepath.Join(t.TempDir(), "none")}); err == nil {
		t.Error("a system without /sys/class/tty has a list of ports")
	}
}

func TestAccessIsThatOfTheUser(t *testing.T) {
	c := plugIn(t)
	for mode, want := range map[os.FileMode]string{0: "false", 0o666: "true", 0o444: "false"} {
		if err := os.Chmod(c.node, mode); err != nil {
			t.Fatal(err)
		}
		if got := output(t, true, "access", c.node); got != want {
			t.Errorf("an ordinary user may use a port of mode %v: %s, want %s", mode, got, want)
		}
	}
}

func TestFindByUSBName(t *testing.T) {
	tr := newTree(t)
	for tty, ids := range map[string][3]string{
		"ttyUSB0": {"0403", "6001", "A10"}, "ttyUSB1": {"0403", "6001", "7C:DF:01"}, "ttyACM0": {"2e8a", "000a", ""},
	} {
		tr.plug(tty, "1-"+tty, ids[0], ids[1], ids[2])
		tr.node(tty, "")
	}
	for _, c := range []struct{ name, want, refusal string }{
		{"usb:0403:6001:A10", "ttyUSB0", ""},
		{"usb:0403:6001:7C:DF:01", "ttyUSB1", ""},
		{"usb:2E8A:000A", "ttyACM0", ""},
		{"usb:0403:6001", "", "several devices could be meant"},
		{"usb:0403:6001:B2", "", "there is no such device"},
		{"usb:0403:000a", "", "there is no such device"},
		{"usb:10c4:ea60", "", "plugged in: " + tr.roots().Dev + "/ttyACM0 (usb:2e8a:000a), "},
	} {
		name, err := parsePortName(c.name)
		if err != nil {
			t.Fatal(err)
		}
		got, err := name.find(tr.roots())
		if c.refusal == "" && (err != nil || filepath.Base(got) != c.want) {
			t.Errorf("%s is %q, %v; want %s", c.name, got, err, c.want)
		}
		if c.refusal != "" && (err == nil || !strings.Contains(err.Error(), c.refusal)) {
			t.Errorf("%s is %q, %v; want a refusal that says %q", c.name, got, err, c.refusal)
		}
	}
}
