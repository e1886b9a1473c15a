// Command joulewell shows a class where the joules are while a bob swings on a
// spring, and keeps every run for the reckoning afterwards.
//
// It reads a distance sensor and a load cell over a serial port (serve), or a
// simulated bench (demo), streams the energies to a browser and logs runs to CSV.
// Each command is one short file here; what they do lives in webui, daq, calib and
// energy.
//
// What a script may read goes to standard output, everything else to standard
// error. Exit status: 0 done, 1 could not, 2 wrong usage (common practice, no
// source).
package main

import (
	"context"
	"os"
	"os/signal"
	"syscall"
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}
