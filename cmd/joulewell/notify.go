package main

import (
	"context"
	"net"
	"os"
	"strconv"
	"time"

	"joulewell/daq"
)

// notify tells the service manager that started us, if one did, that we are ready and,
// from then on, that the bench is alive: a watchdog is fed only while new statuses
// appear. It follows sd_notify(3): datagrams of VARIABLE=VALUE to $NOTIFY_SOCKET.
func notify(ctx context.Context, bench *daq.Bench) {
	name := os.Getenv("NOTIFY_SOCKET")
	if name == "" {
		return
	}
	socket, err := net.Dial("unixgram", name) // a leading @ is the abstract namespace to net, too
	if err != nil {
		return
	}
	defer socket.Close()
	socket.Write([]byte("READY=1"))
	defer socket.Write([]byte("STOPPING=1"))

	patience, err := strconv.Atoi(os.Getenv("WATCHDOG_USEC"))
	if err != nil || patience <= 0 {
		<-ctx.Done()
		return
	}
	feed := time.NewTicker(time.Duration(patience) * time.Microsecond / 3)
	defer feed.Stop()
	seen := bench.Status().Now
	for {
		select {
		case <-feed.C:
			if now := bench.Status().Now; now != seen {
				seen = now
				socket.Write([]byte("WATCHDOG=1"))
			}
		case <-ctx.Done():
			return
		}
	}
}
