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
	"joulewell/daq/series"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/trials/collect"
	"joulewell/daq/upkeep"
	"joulewell/webui"
)

// station is a bench with its web server: what demo, serve and replay have in common.
type station struct {
	file   setup.File
	desk   *upkeep.Desk     // nil: calibrations are not kept
	class  *collect.Benches // nil: no folders were named
	door   door             // the web server's
	source source.Source
	clock  source.Clock
	log    *slog.Logger
	out    io.Writer // where the address is told
}

// run serves the bench until ctx ends, then closes everything in order: the run being
// recorded first, so that Ctrl-C always leaves a whole run file.
func (s *station) run(ctx context.Context) error {
	listener, err := s.door.listen(s.file.Listen)
	if err != nil {
		return err
	}
	defer listener.Close()
	if s.class != nil {
		defer s.class.Close()
	}
	bench, err := daq.New(daq.Options{
		Setup: &s.file.Bench, Device: s.file.Device, Source: s.source, Clock: s.clock,
		Dir: s.file.Data, Version: version(), Log: s.log,
	})
	if err != nil {
		return err
	}
	var round *series.Series
	if s.file.Data != "" {
		if round, err = series.Open(series.Options{Bench: bench, Dir: s.file.Data, Version: version(), Log: s.log}); err != nil {
			return err
		}
	}
	server, err := webui.New(webui.Options{
		Bench: bench, Upkeep: s.desk, Trials: round, Class: s.class, Listen: s.file.Listen, Well: bench.Well, Version: version(), Log: s.log,
		Key: s.door.key, ExtraHosts: s.door.hosts, Secure: s.door.tls != nil,
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
	if round != nil {
		beside.Go(func() { round.Run(ctx) })
	}
	told := make(chan struct{})
	go func() {
		defer close(told)
		notify(ctx, bench)
	}()
	fmt.Fprintf(s.out, "%s: %s\n%s", s.file.Bench.Name, s.source.Describe(), s.door.pages(listener.Addr()))
	if key := server.Key(); key != "" {
		fmt.Fprintf(s.out, "Bench key, asked for before anything is changed: %s\n", key)
		fmt.Fprintf(s.out, "Or open this once, on the instructor's telephone: %s\n", s.door.keyPage(listener.Addr(), key))
	}
	err = server.Serve(ctx, listener)
	stop()
	<-told
	beside.Wait()
	return errors.Join(err, <-ended)
}

// cause strips the address that net's errors repeat.
func cause(err error) error {
	if op, ok := errors.AsType[*net.OpError](err); ok {
		return op.Err
	}
	return err
}
