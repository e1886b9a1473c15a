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
	said  *strings.Builder // on its standard error; to be read when it has ended
}

// start runs joulewell and ends it with the test, if it has not ended by then.
func start(t *testing.T, args ...string) *child {
	t.Helper()
	return startAs(t, program(t, args...))
}

// startAs starts a command line that ends in one of joulewell.
func startAs(t *testing.T, command *exec.Cmd) *child {
	t.Helper()
	c := &child{Cmd: command, t: t, lines: make(chan string, 100), ended: make(chan error, 1), said: new(strings.Builder)}
	stdout, err := c.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	c.Stderr = c.said
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
		c.Process.Signal(syscall.SIGCONT) // a test may have stopped it
		c.Process.Signal(syscall.SIGTERM)
		select {
		case <-c.ended:
		case <-time.After(5 * time.Second):
			c.Process.Kill()
			t.Errorf("%s did not end within 5 s of SIGTERM", c)
		}
		if t.Failed() {
			t.Logf("%s said:\n%s", c, c.said)
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
