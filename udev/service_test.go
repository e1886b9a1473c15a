package udev_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"joulewell/daq/setup"
)

// need returns the path of a tool of systemd, or skips the test if it is not here.
func need(t *testing.T, tool string) string {
	t.Helper()
	found, err := exec.LookPath(tool)
	if err != nil {
		absent(t, "this machine has no "+tool)
	}
	return found
}

// absent skips, unless the environment says that everything is here.
func absent(t *testing.T, why string) {
	t.Helper()
	if os.Getenv("JOULEWELL_NEED_SYSTEMD") == "1" {
		t.Fatal(why + ", and JOULEWELL_NEED_SYSTEMD=1 asks for it")
	}
	t.Skip(why)
}

// unit reads the service unit: section, key and value in order.
func unit(t *testing.T) (lines [][3]string) {
	t.Helper()
	text, err := os.ReadFile("joulewell.service")
	if err != nil {
		t.Fatal(err)
	}
	section := ""
	for n, line := range strings.Split(string(text), "\n") {
		switch key, value, ok := strings.Cut(line, "="); {
		case line == "" || line[0] == '#':
		case line[0] == '[':
			section = strings.Trim(line, "[]")
		case ok && regexp.MustCompile(`^[A-Za-z]+$`).MatchString(key):
			lines = append(lines, [3]string{section, key, value})
		default:
			t.Fatalf("line %d: %q", n+1, line)
		}
	}
	return lines
}

func TestServiceKeepsItsPromises(t *testing.T) {
	lines := unit(t)
	for _, want := range [][3]string{
		{"Service", "Type", "notify"}, {"Service", "WatchdogSec", "30"}, {"Service", "Restart", "always"},
		{"Service", "User", "joulewell"}, {"Service", "Group", "joulewell"}, {"Service", "StateDirectory", "joulewell"},
		{"Service", "DevicePolicy", "closed"}, {"Service", "DeviceAllow", "char-ttyUSB rw"}, {"Service", "DeviceAllow", "char-ttyACM rw"},
		{"Service", "ProtectSystem", "strict"}, {"Service", "NoNewPrivileges", "yes"}, {"Service", "CapabilityBoundingSet", ""},
	} {
		if !slices.Contains(lines, want) {
			t.Errorf("section %s lacks %s=%s", want[0], want[1], want[2])
		}
	}
	for _, l := range lines {
		// Bound to the device it would stop at an unplug and stay stopped; a missing
		// supplementary group would keep it from starting at all.
		if l[1] == "BindsTo" || l[1] == "SupplementaryGroups" {
			t.Errorf("%s=%s must not be there", l[1], l[2])
		}
	}
}

// All that the daemon writes lies in the one folder that it may write to: runs, bench key,
// and the calibration book by the line that README.md gives for the bench file.
func TestWhatIsWrittenLiesInTheStateDirectory(t *testing.T) {
	const state = "/var/lib/joulewell/"
	var command []string
	for _, l := range unit(t) {
		if l[1] == "ExecStart" {
			command = strings.Fields(l[2])
		}
	}
	if len(command) < 2 || command[0] != "/usr/local/bin/joulewell" || command[1] != "serve" {
		t.Fatalf("the service starts %q", command)
	}
	for option, begins := range map[string]string{"--config": "/etc/joulewell/", "--data": state, "--key-file": state} {
		i := slices.Index(command, option)
		if i < 0 || i+1 >= len(command) || !strings.HasPrefix(command[i+1], begins) {
			t.Errorf("%q has no %s below %s", command, option, begins)
		}
	}
	readme, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, line, _ := strings.Cut(string(readme), "```toml\n")
	line, _, _ = strings.Cut(line, "```")
	bench, err := os.ReadFile("../testdata/benches/severn.toml")
	if err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "bench.toml")
	if err := os.WriteFile(path, append([]byte(line), bench...), 0o644); err != nil {
		t.Fatal(err)
	}
	file, err := setup.Load(path)
	if err != nil || !strings.HasPrefix(file.Calibration, state) {
		t.Errorf("a bench file with %q keeps calibrations in %q, %v", line, file.Calibration, err)
	}
}

// installed copies the unit with a program that exists on every machine, since the
// checker looks for it.
func installed(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("joulewell.service")
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "joulewell.service")
	text = []byte(strings.Replace(string(text), "/usr/local/bin/joulewell", "/bin/true", 1))
	if err := os.WriteFile(file, text, 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}

func TestServiceUnitIsValid(t *testing.T) {
	tool := need(t, "systemd-analyze")
	out, err := exec.CommandContext(t.Context(), tool, "verify", installed(t)).CombinedOutput()
	if err != nil || len(out) > 0 {
		t.Errorf("systemd-analyze verify: %v\n%s", err, out)
	}
}

// The scale is systemd's own: 0 is fully confined, 10 not at all. The rest up to 1.9 is
// the network, which a web server needs.
func TestServiceIsConfined(t *testing.T) {
	tool := need(t, "systemd-analyze")
	help, _ := exec.CommandContext(t.Context(), tool, "--help").CombinedOutput()
	if !strings.Contains(string(help), "--threshold") {
		absent(t, "systemd-analyze of this machine cannot rate a unit file")
	}
	out, err := exec.CommandContext(t.Context(), tool, "security", "--offline=true", "--threshold=20", installed(t)).CombinedOutput()
	if err != nil {
		t.Errorf("exposure above 2.0 of 10: %v\n%s", err, out)
	}
}

func TestUserIsValid(t *testing.T) {
	tool := need(t, "systemd-sysusers")
	out, err := exec.CommandContext(t.Context(), tool, "--dry-run", "--root="+t.TempDir(), absolute(t, "joulewell.sysusers")).CombinedOutput()
	if err != nil || !strings.Contains(string(out), "joulewell") {
		t.Errorf("systemd-sysusers: %v\n%s", err, out)
	}
}

func TestRulesAreValid(t *testing.T) {
	tool := need(t, "udevadm")
	help, _ := exec.CommandContext(t.Context(), tool, "--help").CombinedOutput()
	if !regexp.MustCompile(`(?m)^\s+verify\s`).Match(help) {
		// No absence of systemd: TestRulesText and the others read the rules on their own.
		t.Skip("udevadm of this machine is older than version 254 and cannot verify rules")
	}
	out, err := exec.CommandContext(t.Context(), tool, "verify", absolute(t, rulesFile)).CombinedOutput()
	if err != nil {
		t.Errorf("udevadm verify: %v\n%s", err, out)
	}
}

func absolute(t *testing.T, name string) string {
	t.Helper()
	full, err := filepath.Abs(name)
	if err != nil {
		t.Fatal(err)
	}
	return full
}
