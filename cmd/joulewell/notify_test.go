package main

import (
	"net"
	"os"
	"path/filepath"
	"syscall"
	"testing"
	"time"
)

// A service manager hears that the daemon is ready, alive and stopping. Variables and
// their meaning: sd_notify(3) and systemd.service(5).
func TestServiceManagerIsTold(t *testing.T) {
	name := filepath.Join(t.TempDir(), "notify")
	socket, err := net.ListenUnixgram("unixgram", &net.UnixAddr{Name: name, Net: "unixgram"})
	if err != nil {
		t.Fatal(err)
	}
	defer socket.Close()
	t.Setenv("NOTIFY_SOCKET", name)
	t.Setenv("WATCHDOG_USEC", "900000")
	demo := start(t, "demo", "--listen", "127.0.0.1:0", "--data", t.TempDir())
	demo.line("Show page: ")
	hear := func(want string) {
		t.Helper()
		socket.SetReadDeadline(time.Now().Add(20 * time.Second))
		text := make([]byte, 100)
		for {
			n, err := socket.Read(text)
			if err != nil {
				t.Fatalf("wait for %s: %v", want, err)
			}
			if string(text[:n]) == want {
				return
			}
		}
	}
	hear("READY=1")
	hear("WATCHDOG=1")
	hear("WATCHDOG=1")
	if err := demo.Process.Signal(os.Interrupt.(syscall.Signal)); err != nil {
		t.Fatal(err)
	}
	hear("STOPPING=1")
}
