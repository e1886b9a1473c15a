package webui_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
)

// leastNode is the first node that takes a file for a module without being told.
var leastNode = [2]int{20, 19}

// TestScripts runs the unit tests of the pages' scripts.
func TestScripts(t *testing.T) {
	node := findNode(t)
	tests, err := filepath.Glob("pages_test/*.test.js")
	if err != nil || len(tests) == 0 {
		t.Fatalf("no tests of the scripts in pages_test: %v", err)
	}
	command := exec.Command(node, append([]string{"--test"}, tests...)...)
	command.Env = append(os.Environ(), "NODE_NO_WARNINGS=1")
	out, err := command.CombinedOutput()
	if err != nil {
		t.Errorf("node --test: %v\n%s", err, out)
	}
}

func findNode(t *testing.T) string {
	t.Helper()
	node, err := exec.LookPath("node")
	if err != nil {
		lacking(t, "JOULEWELL_NEED_NODE", "node is not installed: the scripts of the pages go untested")
	}
	out, err := exec.Command(node, "--version").Output()
	parts := regexp.MustCompile(`^v(\d+)\.(\d+)`).FindSubmatch(out)
	if err != nil || parts == nil {
		t.Fatalf("ask node for its version: %v %q", err, out)
	}
	major, _ := strconv.Atoi(string(parts[1]))
	minor, _ := strconv.Atoi(string(parts[2]))
	if major < leastNode[0] || major == leastNode[0] && minor < leastNode[1] {
		lacking(t, "JOULEWELL_NEED_NODE", "node "+string(out)+" is too old for the tests of the pages' scripts: 20.19 or later is needed")
	}
	return node
}

// lacking skips a test for want of a program, unless the environment forbids that.
func lacking(t *testing.T, forbids, why string) {
	t.Helper()
	if os.Getenv(forbids) == "1" {
		t.Fatal(why)
	}
	t.Skip(why)
}
