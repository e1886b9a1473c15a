package source

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"golang.org/x/sys/unix"
)

// holder names the program that keeps node to itself, for people; "" if the system
// does not tell. Lock owners are known to everyone; open files of other users' programs
// only to root.
func holder(proc, node string) string {
	if pid := lockOwner(proc, node); pid > 0 {
		return program(proc, pid)
	}
	if all := openers(proc, node); len(all) > 0 {
		return strings.Join(all, ", ")
	}
	return ""
}

// lockOwner looks node up in /proc/locks, whose lines read
// "1: FLOCK  ADVISORY  WRITE 4711 00:1c:3 0 EOF" (proc_locks(5)).
func lockOwner(proc, node string) int {
	var st unix.Stat_t
	if unix.Stat(node, &st) != nil {
		return 0
	}
	want := fmt.Sprintf("%02x:%02x:%d", unix.Major(st.Dev), unix.Minor(st.Dev), st.Ino)
	locks, err := os.ReadFile(filepath.Join(proc, "locks"))
	if err != nil {
		return 0
	}
	for line := range strings.Lines(string(locks)) {
		if f := strings.Fields(line); len(f) >= 6 && f[1] == "FLOCK" && f[5] == want {
			pid, _ := strconv.Atoi(f[4])
			return pid
		}
	}
	return 0
}

// openers names the other programs that have node open, as far as we may see.
func openers(proc, node string) []string {
	var all []string
	folders, _ := filepath.Glob(filepath.Join(proc, "[0-9]*"))
	for _, folder := range folders {
		pid, err := strconv.Atoi(filepath.Base(folder))
		if err == nil && pid != os.Getpid() && hasOpen(filepath.Join(folder, "fd"), node) {
			all = append(all, program(proc, pid))
		}
	}
	return all
}

func hasOpen(fds, node string) bool {
	entries, _ := os.ReadDir(fds)
	for _, e := range entries {
		if to, err := os.Readlink(filepath.Join(fds, e.Name())); err == nil && to == node {
			return true
		}
	}
	return false
}

func program(proc string, pid int) string {
	if pid == os.Getpid() {
		return "this program itself, for another bench"
	}
	name, err := os.ReadFile(filepath.Join(proc, strconv.Itoa(pid), "comm"))
	if err != nil {
		return fmt.Sprintf("process %d", pid)
	}
	return fmt.Sprintf("process %d (%s)", pid, strings.TrimSpace(string(name)))
}
