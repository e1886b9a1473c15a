package main

import (
	"bufio"
	"io"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"
)

// child is a joulewell process whose output a test reads line by line.
type child struct {
	*exec.Cmd
	t     *testing.T
	lines chan string
	ended chan error
}

// start runs joulewell and ends it with the test, if it has not ended by then.
func start(t *testing.T, args ...string) *child {
	t.Helper()
	c := &child{Cmd: program(t, args...), t: t, lines: make(chan string, 100), ended: make(chan error, 1)}
	stdout, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	var complaint strings.Builder
	c.Stderr = &complaint
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	go func() {
		for s := bufio.NewScanner(stdout); s.Scan(); {
			c.lines <- s.Text()
		}
		close(c.lines)
		io.Copy(io.Discard, stdout)
		c.ended <- c.Wait()
	}()
	t.Cleanup(func() {
		c.Process.Signal(syscall.SIGTERM)
		select {
		case <-c.ended:
		case <-time.After(5 * time.Second):
			c.Process.Kill()
			t.Errorf("joulewell %s did not end within 5 s of SIGTERM", strings.Join(args, " "))
		}
		if t.Failed() {
			t.Logf("joulewell %s said:\n%s", strings.Join(args, " "), complaint.String())
		}
	})
	return c
}

// line waits for a line that starts with prefix and returns the rest of it.
func (c *child) line(prefix string) string {
	c.t.Helper()
	limit := time.After(30 * time.Second)
	for {
		select {
		case text, ok := <-c.lines:
			if !ok {
				c.t.Fatalf("joulewell ended without saying %q", prefix)
			}
			if rest, ok := strings.CutPrefix(text, prefix); ok {
				return rest
			}
		case <-limit:
			c.t.Fatalf("joulewell has not said %q for 30 s", prefix)
		}
	}
}

// end sends a signal and returns what the process ended with.
func (c *child) end(s syscall.Signal) error {
	c.t.Helper()
	if err := c.Process.Signal(s); err != nil {
		c.t.Fatal(err)
	}
	err := <-c.ended
	c.ended <- err // for the clean-up
	return err
}
