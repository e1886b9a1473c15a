package main

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"strings"
	"time"

	"joulewell/daq"
	"joulewell/daq/source"
	"joulewell/daq/upkeep"
)

// listenTo reads the bench of a desk for its session, until ctx ends.
func listenTo(ctx context.Context, desk *upkeep.Desk, port string, log *slog.Logger) error {
	file := desk.File()
	if port != "" {
		file.Device.Port = port
	}
	clock := source.NewClock()
	serial, err := source.NewSerial(source.SerialOptions{Port: file.Device.Port, Baud: file.Device.Baud, Clock: clock, Log: log})
	if err != nil {
		return err
	}
	bench, err := daq.New(daq.Options{Setup: &file.Bench, Device: file.Device, Source: serial, Clock: clock, Version: version(), Log: log})
	if err != nil {
		return err
	}
	defer bench.Listen(func(b daq.Batch) { desk.Hear(b.Frames) })()
	return bench.Run(ctx)
}

// dialogue is a calibration at a terminal.
type dialogue struct {
	desk    *upkeep.Desk
	out     io.Writer
	flags   *calibrateFlags
	signing upkeep.Signing
}

// errQuit ends a dialogue by the person's own wish.
var errQuit = errors.New("abandoned: nothing was written")

// run asks and takes until done, quit, the end of the input, or until ctx or the bench
// ends.
func (d *dialogue) run(ctx context.Context, in io.Reader, ended <-chan error) error {
	var kind upkeep.Kind
	if err := d.desk.With(func(s *upkeep.Session) error { kind = s.Kind(); return nil }); err != nil {
		return err
	}
	d.help(kind)
	lines := make(chan string)
	go func() {
		defer close(lines)
		for scanner := bufio.NewScanner(in); scanner.Scan(); {
			select {
			case lines <- scanner.Text():
			case <-ctx.Done():
				return
			}
		}
	}()
	for {
		select {
		case line, more := <-lines:
			if !more {
				return errQuit
			}
			done, err := d.hear(ctx, kind, strings.TrimSpace(line))
			if done || err != nil {
				return err
			}
		case err := <-ended:
			return err
		case <-ctx.Done():
			return errQuit
		}
	}
}

// hear does what one line asks for.
func (d *dialogue) hear(ctx context.Context, kind upkeep.Kind, line string) (done bool, err error) {
	switch line {
	case "":
		d.steadiness()
		return false, nil
	case "quit":
		return true, errQuit
	case "show":
		d.show()
		return false, nil
	case "undo":
		return false, d.desk.With(func(s *upkeep.Session) error {
			if err := s.Undo(); err != nil {
				fmt.Fprintln(d.out, err)
				return nil
			}
			fmt.Fprintf(d.out, "taken back; points left: %d\n", len(s.Points()))
			return nil
		})
	case "done":
		return d.finish()
	}
	p := upkeep.Point{Load: line}
	switch kind {
	case upkeep.Distance:
		p = upkeep.Point{Rule: line}
	case upkeep.Spring:
		load, second, _ := strings.Cut(line, ", ")
		p = upkeep.Point{Load: load, Rule: strings.TrimSpace(second)}
		if strings.HasSuffix(p.Rule, "s") { // seconds: no length ends so
			p.Period, p.Rule = p.Rule, ""
		}
	}
	return false, d.take(ctx, p)
}

// take waits until the reading rests and takes it.
func (d *dialogue) take(ctx context.Context, p upkeep.Point) error {
	look := time.NewTicker(100 * time.Millisecond)
	defer look.Stop()
	told := ""
	for {
		err := d.desk.With(func(s *upkeep.Session) error { return s.Take(p) })
		switch {
		case err == nil:
			return d.taken()
		case !errors.Is(err, upkeep.ErrUnsteady):
			fmt.Fprintf(d.out, "not taken: %v\n", err)
			return nil
		}
		if reason, _, _ := strings.Cut(err.Error(), " for "); reason != told {
			told = reason
			fmt.Fprintf(d.out, "waiting: %v\n", err)
		}
		select {
		case <-look.C:
		case <-ctx.Done():
			return errQuit
		}
	}
}

// taken tells of the point just taken and what it leads to.
func (d *dialogue) taken() error {
	return d.desk.With(func(s *upkeep.Session) error {
		points := s.Points()
		last := points[len(points)-1]
		fmt.Fprintf(d.out, "point %d taken", len(points))
		if last.Readings > 0 {
			_, unit := s.Steadiness()
			fmt.Fprintf(d.out, ": %s %s, u %.2g, of %d readings", decimals(last.Reading.Value, last.Reading.U), unit, last.Reading.U, last.Readings)
		}
		found, err := s.Found()
		if err != nil {
			fmt.Fprintln(d.out)
			return nil
		}
		q := found.Figures[0]
		for _, f := range found.Figures {
			if f.Name == "span" || f.Name == "scale" {
				q = f
			}
		}
		fmt.Fprintf(d.out, "; so far %s %s %s, u %.2g\n", q.Name, decimals(q.Value, q.U), q.Unit, q.U)
		return nil
	})
}

// steadiness tells how the reading of the moment stands.
func (d *dialogue) steadiness() {
	d.desk.With(func(s *upkeep.Session) error {
		state, unit := s.Steadiness()
		if state.Steady {
			fmt.Fprintf(d.out, "steady at %s %s\n", decimals(state.Mean, state.U), unit)
		} else {
			fmt.Fprintf(d.out, "not steady: %s\n", state.Reason)
		}
		return nil
	})
}

// show prints what the points come to so far.
func (d *dialogue) show() {
	d.desk.With(func(s *upkeep.Session) error {
		found, err := s.Found()
		if err != nil {
			fmt.Fprintf(d.out, "nothing yet: %v\n", err)
			return nil
		}
		printFinding(d.out, &upkeep.Table{Kind: s.Kind()}, found)
		return nil
	})
}

// finish prints the result and keeps it.
func (d *dialogue) finish() (done bool, err error) {
	if d.flags.check {
		return true, d.flags.keepChecks(d.out, d.desk)
	}
	d.show()
	if d.flags.dry {
		fmt.Fprintln(d.out, "nothing was written (--dry-run)")
		return true, nil
	}
	file, err := d.desk.Finish(d.signing)
	if err != nil {
		fmt.Fprintf(d.out, "not finished: %v\n", err)
		return false, nil
	}
	fmt.Fprintf(d.out, "kept in %s\n", file.Calibration)
	return true, nil
}
