package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"net"
	"sync"

	"joulewell/daq"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/upkeep"
	"joulewell/webui"
)

// station is a bench with its web server: what demo, serve and replay have in common.
type station struct {
	file   setup.File
	desk   *upkeep.Desk // nil: calibrations are not kept
	source source.Source
	clock  source.Clock
	log    *slog.Logger
	out    io.Writer // where the address is told
}

// run serves the bench until ctx ends, then closes everything in order: the run being
// recorded first, so that Ctrl-C always leaves a whole run file.
func (s *station) run(ctx context.Context) error {
	listener, err := listen(s.file.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	bench, err := daq.New(daq.Options{
		Setup: &s.file.Bench, Device: s.file.Device, Source: s.source, Clock: s.clock,
		Dir: s.file.Data, Version: version(), Log: s.log,
	})
	if err != nil {
		return err
	}
	server, err := webui.New(webui.Options{
		Bench: bench, Upkeep: s.desk, Listen: s.file.Listen, Well: bench.Well, Version: version(), Log: s.log,
	})
	if err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	ended := make(chan error, 1)
	go func() {
		err := bench.Run(ctx)
		stop()
		ended <- err
	}()
	var beside sync.WaitGroup
	if s.desk != nil {
		beside.Go(func() { s.desk.Run(ctx, s.log) })
	}
	told := make(chan struct{})
	go func() {
		defer close(told)
		notify(ctx, bench)
	}()
	fmt.Fprintf(s.out, "%s: %s\n%s", s.file.Bench.Name, s.source.Describe(), pageAddress(listener.Addr()))
	if key := server.Key(); key != "" {
		fmt.Fprintf(s.out, "Bench key, for starting and stopping runs: %s\n", key)
	}
	err = server.Serve(ctx, listener)
	stop()
	<-told
	beside.Wait()
	return errors.Join(err, <-ended)
}

// pageAddress says where the page is, in addresses that a browser can be given.
func pageAddress(a net.Addr) string {
	tcp, ok := a.(*net.TCPAddr)
	if !ok || !tcp.IP.IsUnspecified() {
		return fmt.Sprintf("Show page: http://%s/\n", a)
	}
	return fmt.Sprintf("Show page: http://127.0.0.1:%d/\nFrom other machines: http://ADDRESS:%d/, with this machine's number in place of ADDRESS\n", tcp.Port, tcp.Port)
}

// listen takes the address, and says what to do when another program has it.
func listen(address string) (net.Listener, error) {
	l, err := net.Listen("tcp", address)
	if err != nil {
		return nil, fmt.Errorf("listen on %s: %w: choose another address with --listen, 127.0.0.1:0 takes any free port", address, cause(err))
	}
	return l, nil
}

// cause strips the address that net's errors repeat.
func cause(err error) error {
	if op, ok := errors.AsType[*net.OpError](err); ok {
		return op.Err
	}
	return err
}
