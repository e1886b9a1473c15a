package source

import (
	"strings"
	"testing"
)

func TestPick(t *testing.T) {
	known := Port{Path: "/dev/ttyACM0", Vendor: "2341", Product: "0043", Access: true, Known: true, Usable: true}
	other := Port{Path: "/dev/ttyUSB7", Vendor: "0bda", Product: "8153", Access: true, Usable: true}
	second := Port{Path: "/dev/ttyUSB0", Vendor: "1a86", Product: "7523", Access: true, Known: true, Usable: true}
	shut := Port{Path: "/dev/ttyUSB3", Vendor: "1a86", Product: "7523", Group: "dialout", Known: true}
	for _, c := range []struct {
		name    string
		ports   []Port
		want    string
		refusal []string
	}{
		{"only one", []Port{other}, "/dev/ttyUSB7", nil},
		{"known before others", []Port{other, known}, "/dev/ttyACM0", nil},
		{"usable before shut", []Port{shut, other}, "/dev/ttyUSB7", nil},
		{"two known", []Port{known, other, second}, "", []string{"several", "/dev/ttyACM0", "/dev/ttyUSB0"}},
		{"two others", []Port{other, other}, "", []string{"several"}},
		{"shut", []Port{shut}, "", []string{"permission denied", "dialout"}},
		{"none", nil, "", []string{"there is no such device", "plug it in"}},
	} {
		got, err := pick(c.ports)
		if got != c.want || (err == nil) != (c.refusal == nil) {
			t.Errorf("%s: %q, %v; want %q", c.name, got, err, c.want)
		}
		for _, w := range c.refusal {
			if err != nil && !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not say %q", c.name, err, w)
			}
		}
	}
}

func TestKnownBridges(t *testing.T) {
	for _, c := range []struct {
		vendor, product string
		want            bool
	}{{"1a86", "7523", true}, {"2341", "0043", true}, {"1a86", "0043", false}, {"0bda", "8153", false}, {"", "", false}} {
		if got := isKnown(c.vendor, c.product); got != c.want {
			t.Errorf("%s:%s known: %v, want %v", c.vendor, c.product, got, c.want)
		}
	}
}
