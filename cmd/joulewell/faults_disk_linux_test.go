package main

import (
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"
)

// obedient is a command through which a program heeds the modes of files even when it is
// started by root; empty where it does anyway.
func obedient() []string {
	if os.Geteuid() != 0 {
		return nil
	}
	return []string{"setpriv", "--bounding-set=-dac_override,-dac_read_search", "--inh-caps=-all"}
}

// A data folder that nobody may write to is refused at the start; one that is closed later
// is told of at the next command, and what was recorded by then is whole once the folder is
// open again.
func TestReadOnlyFolder(t *testing.T) {
	if testing.Short() {
		t.Skip("short: the disk is left alone")
	}
	t.Parallel()
	p := barePlant(t)
	p.through = obedient()
	if err := os.Mkdir(p.data, 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(p.data, 0o755) })
	p.plugIn(1)
	out, err := p.command().CombinedOutput()
	if exit, ok := errors.AsType[*exec.ExitError](err); !ok || exit.ExitCode() != 1 || !strings.Contains(string(out), "permission denied") || !strings.Contains(string(out), "--data") {
		t.Fatalf("serve on a folder that is closed: %v: %s", err, out)
	}

	if err := os.Chmod(p.data, 0o755); err != nil {
		t.Fatal(err)
	}
	p.serve()
	p.begin()
	p.rows(100)
	if err := os.Chmod(p.data, 0o555); err != nil {
		t.Fatal(err)
	}
	p.rows(100) // its file is open
	if why := p.refuses("stop"); !strings.Contains(why, "ermission denied") {
		t.Errorf("stop: %s", why)
	}
	p.sees(patience, "readings and no run", func(s *state) bool { return s.Link == "live" && s.Fresh && !s.Run.Active })
	if why := p.refuses("start"); !strings.Contains(why, "ermission denied") {
		t.Errorf("start: %s", why)
	}
	if err := os.Chmod(p.data, 0o755); err != nil {
		t.Fatal(err)
	}
	p.begin() // without a restart
	p.rows(50)
	p.end()
	if err := p.daemon.end(syscall.SIGTERM); err != nil {
		t.Errorf("SIGTERM: %v", err)
	}
	p.serve() // which repairs
	p.whole(2)
	p.leaves()
}

// mounted is a command that gives a program a file system of so many megabytes of its own
// at a folder.
func mounted(folder string, megabytes int) []string {
	command := []string{"unshare", "--mount"}
	if os.Geteuid() != 0 {
		command = append(command, "--map-root-user")
	}
	script := fmt.Sprintf(`mount -t tmpfs -o size=%dm joulewell "$0" && exec "$@"`, megabytes)
	return append(command, "sh", "-c", script, folder)
}

// A file system that is full to the last byte: the trouble is told, rows wait in memory,
// and none is lost once there is room again.
func TestFullFileSystem(t *testing.T) {
	if testing.Short() {
		t.Skip("short: the disk is left alone")
	}
	t.Parallel()
	p := barePlant(t)
	folder := p.data
	if err := os.Mkdir(folder, 0o755); err != nil {
		t.Fatal(err)
	}
	p.through = mounted(folder, 64)
	if out, err := exec.Command(p.through[0], append(p.through[1:], "true")...).CombinedOutput(); err != nil {
		t.Skipf("no file system can be mounted here: %v: %s", err, out)
	}
	p.plugIn(1)
	p.serve()
	p.data = filepath.Join(fmt.Sprintf("/proc/%d/root", p.daemon.Process.Pid), folder)
	ballast := filepath.Join(p.data, "ballast")
	p.record(func() {
		p.rows(100)
		file, err := os.Create(ballast)
		if err != nil {
			t.Fatal(err)
		}
		for megabyte := make([]byte, 1<<20); err == nil; {
			_, err = file.Write(megabyte)
		}
		file.Close()
		if !errors.Is(err, syscall.ENOSPC) {
			t.Fatal(err)
		}
		p.sees(3*patience, "the trouble", func(s *state) bool { // a page of the file may have had room
			return strings.Contains(s.Run.Trouble, "disk full") && s.Run.Lost == 0 && s.Link == "live" && s.Fresh
		})
		p.rows(100)
		if err := os.Remove(ballast); err != nil {
			t.Fatal(err)
		}
		p.await(10*time.Second, "the trouble to be over", func(s *state) bool { return s.Run.Trouble == "" })
	})
	p.whole(1)
	p.leaves()
}
