package udev_test

import (
	"fmt"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"joulewell/daq/source"
)

const rulesFile = "60-joulewell.rules"

// term is one KEY{arg}op"value" of a rule line.
type term struct{ key, arg, op, value string }

var termForm = regexp.MustCompile(`^([A-Z]+)(?:\{([^{}"]+)\})?(==|!=|\+=|=)"([^"]*)"$`)

// keys are those of udev(7) that our rules use, with the operators that fit them.
var keys = map[string]string{
	"ACTION": "== !=", "SUBSYSTEM": "== !=", "DRIVER": "== !=", "ATTRS": "== !=", "ENV": "== != =", "ATTR": "=",
	"GOTO": "=", "LABEL": "=", "GROUP": "=", "MODE": "=", "TAG": "+=", "SYMLINK": "+=", "IMPORT": "=",
}

// readRules parses the file strictly: every line that is no comment must be terms.
func readRules(t *testing.T) (rules [][]term) {
	t.Helper()
	text, err := os.ReadFile(rulesFile)
	if err != nil {
		t.Fatal(err)
	}
	for n, line := range strings.Split(string(text), "\n") {
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		var rule []term
		for _, part := range strings.Split(line, ", ") {
			m := termForm.FindStringSubmatch(part)
			if m == nil {
				t.Fatalf("line %d: %q is no term", n+1, part)
			}
			if !slices.Contains(strings.Fields(keys[m[1]]), m[3]) {
				t.Fatalf("line %d: key %s with operator %s", n+1, m[1], m[3])
			}
			rule = append(rule, term{m[1], m[2], m[3], m[4]})
		}
		rules = append(rules, rule)
	}
	return rules
}

// device is what the kernel and the builtins say of a device, and what the rules make of it.
type device struct {
	is   map[string]string // ACTION, SUBSYSTEM, DRIVER, ATTRS{..}; ENV{..} after an import
	env  map[string]string
	set  map[string]string // GROUP, MODE, ATTR{..}
	link []string
	tags []string
}

var substitution = regexp.MustCompile(`\$env\{(\w+)\}`)

// run applies the rules in order, as udev(7) describes it for the keys above.
func (d *device) run(t *testing.T, rules [][]term) {
	t.Helper()
	d.env, d.set = map[string]string{}, map[string]string{}
	for i := 0; i < len(rules); i++ {
		if !d.matches(rules[i]) {
			continue
		}
		for _, r := range rules[i] {
			if r.key == "GOTO" {
				i = slices.IndexFunc(rules, func(x []term) bool { return x[0].key == "LABEL" && x[0].value == r.value })
				if i < 0 {
					t.Fatalf("there is no label %s", r.value)
				}
				break
			}
			d.assign(r)
		}
	}
}

func (d *device) matches(rule []term) bool {
	for _, r := range rule {
		if r.op != "==" && r.op != "!=" {
			continue
		}
		have := d.is[r.key]
		switch r.key {
		case "ATTRS":
			have = d.is["ATTRS{"+r.arg+"}"]
		case "ENV":
			have = d.env[r.arg]
		}
		hit := false
		for _, pattern := range strings.Split(r.value, "|") {
			if ok, _ := path.Match(pattern, have); ok {
				hit = true
			}
		}
		if hit != (r.op == "==") {
			return false
		}
	}
	return true
}

func (d *device) assign(r term) {
	value := substitution.ReplaceAllStringFunc(r.value, func(s string) string { return d.env[substitution.FindStringSubmatch(s)[1]] })
	switch {
	case r.op == "==" || r.op == "!=":
	case r.key == "ENV":
		d.env[r.arg] = value
	case r.key == "SYMLINK":
		d.link = append(d.link, value)
	case r.key == "TAG":
		d.tags = append(d.tags, value)
	case r.key == "ATTR":
		d.set["ATTR{"+r.arg+"}"] = value
	case r.key == "GROUP", r.key == "MODE":
		d.set[r.key] = value
	case r.key == "IMPORT": // brings in what the device is known by
		for k, v := range d.is {
			if name, ok := strings.CutPrefix(k, "ENV:"); ok && (value == "usb_id") != (name == "ID_PATH") {
				d.env[name] = v
			}
		}
	}
}

// plugged is a device of these ids, as the kernel announces its parts.
func plugged(subsystem, vendor, product, serial string) *device {
	d := &device{is: map[string]string{
		"ACTION": "add", "SUBSYSTEM": subsystem, "ATTRS{idVendor}": vendor, "ATTRS{idProduct}": product,
		"ENV:ID_VENDOR_ID": vendor, "ENV:ID_MODEL_ID": product, "ENV:ID_USB_INTERFACE_NUM": "00",
		"ENV:ID_PATH": "pci-0000:00:14.0-usb-0:3:1.0",
	}}
	if serial != "" {
		d.is["ENV:ID_SERIAL_SHORT"] = serial
	}
	return d
}

func TestEveryKnownBridgeIsGivenToTheGroup(t *testing.T) {
	rules := readRules(t)
	for _, b := range source.Bridges() {
		product := b.Product
		if product == "" {
			product = "0043"
		}
		d := plugged("tty", b.Vendor, product, "A7")
		d.run(t, rules)
		if d.set["GROUP"] != "joulewell" || d.set["MODE"] != "0660" || !slices.Contains(d.tags, "uaccess") {
			t.Errorf("%s: owned as %v, tags %v", b.Kind, d.set, d.tags)
		}
		if d.env["ID_MM_DEVICE_IGNORE"] != "1" || d.env["ID_MM_PORT_IGNORE"] != "1" {
			t.Errorf("%s: a modem manager would probe it", b.Kind)
		}
		if want := fmt.Sprintf("joulewell/%s-%s-A7-00", b.Vendor, product); !slices.Equal(d.link, []string{want}) {
			t.Errorf("%s: links %q, want %q", b.Kind, d.link, want)
		}
		d = plugged("usb", b.Vendor, product, "A7")
		d.run(t, rules)
		if d.env["ID_MM_DEVICE_IGNORE"] != "1" || len(d.set)+len(d.link)+len(d.tags) != 0 {
			t.Errorf("%s as a USB device: %+v, want only the modem manager kept off", b.Kind, d)
		}
	}
}

func TestBridgeWithoutSerialNumberIsNamedByItsSocket(t *testing.T) {
	d := plugged("tty", "1a86", "7523", "")
	d.run(t, readRules(t))
	if want := []string{"joulewell/pci-0000:00:14.0-usb-0:3:1.0"}; !slices.Equal(d.link, want) {
		t.Errorf("links %q, want %q", d.link, want)
	}
}

func TestOtherDevicesAreLeftAlone(t *testing.T) {
	rules := readRules(t)
	removed := plugged("tty", "1a86", "7523", "")
	removed.is["ACTION"] = "remove"
	for name, d := range map[string]*device{
		"unknown serial device": plugged("tty", "0bda", "8153", "A7"),
		"other product":         plugged("tty", "1a86", "0043", "A7"),
		"no USB device":         plugged("tty", "", "", ""),
		"its disk":              plugged("block", "2e8a", "0005", "A7"),
		"removed bridge":        removed,
	} {
		d.run(t, rules)
		if len(d.env)+len(d.set)+len(d.link)+len(d.tags) != 0 {
			t.Errorf("%s: changed to env %v, set %v, links %v, tags %v", name, d.env, d.set, d.link, d.tags)
		}
	}
}

func TestLatencyTimer(t *testing.T) {
	for driver, want := range map[string]string{"ftdi_sio": "1", "ch341-uart": ""} {
		d := plugged("usb-serial", "0403", "6001", "A7")
		d.is["DRIVER"] = driver
		d.run(t, readRules(t))
		if got := d.set["ATTR{latency_timer}"]; got != want || d.set["MODE"] != "" {
			t.Errorf("driver %s: %v, want the timer at %q and nothing else", driver, d.set, want)
		}
	}
}

func TestRulesText(t *testing.T) {
	lowerHex := regexp.MustCompile(`^[0-9a-f]{4}$`)
	ids := map[string]bool{}
	for _, rule := range readRules(t) {
		id := ""
		for _, r := range rule {
			switch {
			case r.key == "ATTRS": // the kernel writes ids so; others never match
				if !lowerHex.MatchString(r.value) {
					t.Errorf("id %q is not four lower-case hexadecimal digits", r.value)
				}
				id += ":" + r.value
			case r.key == "MODE" && strings.HasSuffix(r.value, "6"):
				t.Errorf("mode %s lets everyone write", r.value)
			}
		}
		if id != "" {
			ids[id] = true
		}
	}
	if len(ids) != len(source.Bridges()) {
		t.Errorf("the rules name %d kinds of device, the list in daq/source %d", len(ids), len(source.Bridges()))
	}
	if files, _ := filepath.Glob("*.rules"); !slices.Equal(files, []string{rulesFile}) || rulesFile >= "73-" {
		t.Errorf("rule files %q: want one that sorts before 73-", files)
	}
}
