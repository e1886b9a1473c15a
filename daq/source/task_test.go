//go:build linux

package source

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// Some tests need a second process: this test program again, with a task.
const (
	taskVariable = "JOULEWELL_SOURCE_TEST_TASK"
	pathVariable = "JOULEWELL_SOURCE_TEST_PATH"
)

func runTask(task, path string) {
	switch task {
	case "hold": // until standard input ends
		_, _, err := openPort(path, 115200, "/proc")
		fmt.Println("held:", err)
		io.Copy(io.Discard, os.Stdin)
	case "open":
		_, _, err := openPort(path, 115200, "/proc")
		fmt.Println(err)
	case "access":
		fmt.Println(mayUse(path))
	case "descriptors":
		names, _ := filepath.Glob("/proc/self/fd/*")
		for _, name := range names {
			to, _ := os.Readlink(name)
			fmt.Println(to)
		}
	}
}

// taskCommand goes through /proc, so that another user can start it from a private folder.
func taskCommand(t *testing.T, task, path string) *exec.Cmd {
	cmd := exec.CommandContext(t.Context(), "/proc/self/exe")
	// The race detector would hold up each process for a second when it ends.
	cmd.Env = append(os.Environ(), taskVariable+"="+task, pathVariable+"="+path, "GORACE=atexit_sleep_ms=0")
	cmd.Stderr = os.Stderr
	return cmd
}

// output runs a task and returns what it prints. If stranger, an ordinary user runs it.
func output(t *testing.T, stranger bool, task, path string) string {
	t.Helper()
	cmd := taskCommand(t, task, path)
	if stranger && os.Geteuid() == 0 {
		const nobody = 65534
		cmd.SysProcAttr = &syscall.SysProcAttr{Credential: &syscall.Credential{Uid: nobody, Gid: nobody}}
	}
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("task %s: %v", task, err)
	}
	return strings.TrimSpace(string(out))
}

// hold starts a process that has opened path.
func hold(t *testing.T, path string) *exec.Cmd {
	t.Helper()
	cmd := taskCommand(t, "hold", path)
	in, err := cmd.StdinPipe()
	if err != nil {
		t.Fatal(err)
	}
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { in.Close(); cmd.Wait() })
	said, err := bufio.NewReader(out).ReadString('\n')
	if said != "held: <nil>\n" {
		t.Fatalf("the holding process said %q, %v", said, err)
	}
	return cmd
}
