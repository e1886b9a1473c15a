package daq

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"os"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"joulewell/daq/clock"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/wire"
	"joulewell/energy"
)

// Options are what a bench is made of.
type Options struct {
	Setup   *setup.Bench
	Device  setup.Device
	Source  source.Source
	Clock   source.Clock // host clock; the source must use the same
	Dir     string       // folder of the run files; empty = nothing can be recorded
	Version string       // of the program, for the run files
	Log     *slog.Logger
}

// Refusals of a command.
var (
	ErrStopped      = errors.New("the bench has stopped")
	ErrNoFolder     = errors.New("no data folder: start the daemon with --data")
	ErrNoReadings   = errors.New("no readings arrive from the device: nothing to record")
	ErrRecording    = errors.New("a run is being recorded already: stop it first")
	ErrNotRecording = errors.New("no run is being recorded")
)

// statusEvery is how often a status is published when nothing changes.
const statusEvery = 250 * time.Millisecond

// Bench is one apparatus with its device. Make it with [New], let it live with
// [Bench.Run]; every other method may be called from any goroutine.
type Bench struct {
	opt      Options
	status   atomic.Pointer[Status]
	commands chan func()
	mail     *mailbox
	model    *energy.Model
	done     chan struct{}
	dir      *os.Root   // of the run files; nil = none
	starting sync.Mutex // held over a start or stop of a run, disk included

	mu        sync.Mutex // guards listeners
	listeners []*Listener
	heard     atomic.Pointer[[]*Listener] // copy of listeners, for the bench's goroutine

	// Owned by the goroutine of Run.
	splitter wire.Splitter
	decoder  *wire.Decoder
	aligner  *clock.Aligner
	deriver  *Deriver
	recent   preTrigger
	link     linkState
	run      run
	epoch    uint32
	newest   Timed
	started  bool // newest holds a reading
	last     frame.Frame
	hasLast  bool
	refused  uint64 // readings that could not be placed in time
}

// New makes a bench, or returns the refusal of what in its options cannot be.
func New(o Options) (*Bench, error) {
	deriver, err := NewDeriver(o.Setup)
	if err != nil {
		return nil, err
	}
	decoder, err := wire.NewDecoder(wire.Options{Fields: o.Device.Fields, RequireChecksum: o.Device.RequireChecksum})
	if err != nil {
		return nil, fmt.Errorf("set up bench %s: %w", o.Setup.Name, err)
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	b := &Bench{
		opt:      o,
		commands: make(chan func()),
		mail:     newMailbox(),
		model:    deriver.model,
		done:     make(chan struct{}),
		decoder:  decoder,
		aligner:  clock.New(clock.Options{}),
		deriver:  deriver,
		recent:   newPreTrigger(PreTrigger),
		link:     newLinkState(o.Clock()),
	}
	b.heard.Store(new([]*Listener))
	if o.Dir != "" {
		if b.dir, err = openFolder(o.Dir, o.Log); err != nil {
			return nil, err
		}
	}
	b.publish()
	return b, nil
}

// Setup returns what the bench was made for. It must not be changed.
func (b *Bench) Setup() *setup.Bench { return b.opt.Setup }

// Well samples the potential energy [J] of bob and spring over height [m].
func (b *Bench) Well() (heights, potential []float64) {
	const points = 201
	return b.model.Well(points)
}

// Status returns the state of the bench as last published.
func (b *Bench) Status() *Status { return b.status.Load() }

// Listen calls l with every batch from now on, until stop is called.
func (b *Bench) Listen(l Listener) (stop func()) {
	b.mu.Lock()
	defer b.mu.Unlock()
	entry := &l
	b.listeners = append(b.listeners, entry)
	b.spread()
	return func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		b.listeners = slices.DeleteFunc(b.listeners, func(e *Listener) bool { return e == entry })
		b.spread()
	}
}

func (b *Bench) spread() {
	c := slices.Clone(b.listeners)
	b.heard.Store(&c)
}

// Run reads the source and owns the bench's state until ctx ends; then it closes a
// run being recorded and returns. It may be called once.
func (b *Bench) Run(ctx context.Context) error {
	defer close(b.done)
	events := b.mail
	reading := make(chan struct{})
	go func() {
		defer close(reading)
		b.opt.Source.Run(ctx, events.emitter(ctx))
	}()
	tick := time.NewTicker(statusEvery)
	defer tick.Stop()
	for {
		select {
		case e := <-events.full:
			b.handle(e)
			events.giveBack(e)
		case command := <-b.commands:
			command()
		case <-tick.C:
			b.publish()
		case <-ctx.Done():
			<-reading
			err := b.finish()
			b.publish()
			if b.dir != nil {
				b.dir.Close()
			}
			return err
		}
	}
}

// do runs a command on the bench's goroutine and waits for it; the status that shows
// its effect is published by then.
func (b *Bench) do(ctx context.Context, command func()) error {
	finished := make(chan struct{})
	select {
	case b.commands <- func() { command(); b.publish(); close(finished) }:
	case <-b.done:
		return ErrStopped
	case <-ctx.Done():
		return ctx.Err()
	}
	<-finished
	return nil
}

// handle takes one event from the source.
func (b *Bench) handle(e *source.Event) {
	switch e.Kind {
	case source.Opened:
		b.opt.Log.Info("device opened", "port", e.Name)
		b.splitter.Reset()
		b.decoder.Reset()
		b.aligner.Open(int64(e.At))
		b.epoch++
		b.link.opened(e.At, e.Name)
		b.publish()
	case source.Bytes:
		b.link.heard(e.At)
		b.splitter.Feed(e.Bytes)
		for {
			line, _, ok := b.splitter.Next() // an overlong line is refused by the decoder
			if !ok {
				break
			}
			b.line(line, e.At)
		}
	case source.Timed:
		b.accept(&Timed{T: e.T, Epoch: e.Epoch, Reading: e.Reading}, e.At)
	case source.Lost:
		b.opt.Log.Warn("device lost", "reason", e.Err)
		b.link.lost(e.At, e.Err)
		b.publish()
	case source.Ended:
		b.deliver(b.deriver.Flush())
		b.link.ended(e.At, e.Err)
		b.publish()
	}
}

// line decodes one line and places its reading in time.
func (b *Bench) line(line []byte, at time.Duration) {
	var r Timed
	if b.decoder.Decode(line, &r.Reading) != wire.Data {
		return
	}
	t, verdict := b.aligner.Place(r.Reading.DeviceUs, int64(at))
	switch verdict {
	case clock.Late:
		b.refused++
		return
	case clock.Restarted:
		b.opt.Log.Warn("device restarted without being reopened", "device_us", r.Reading.DeviceUs)
		b.epoch++
	}
	r.T, r.Epoch = t, b.epoch
	b.accept(&r, at)
}

// accept takes a reading whose time is known: the one way for every source.
func (b *Bench) accept(r *Timed, at time.Duration) {
	if b.started && r.T < b.newest.T {
		b.refused++ // a new epoch may not begin before the old one ended
		return
	}
	b.epoch = r.Epoch
	b.newest, b.started = *r, true
	b.recent.add(r)
	if b.link.read(at) {
		b.publish()
	}
	b.deliver(b.deriver.Push(r))
}

// deliver hands frames to the run being recorded and to the listeners.
func (b *Bench) deliver(frames []frame.Frame) {
	if n := len(frames); n > 0 {
		b.last, b.hasLast = frames[n-1], true
		b.run.keep(frames)
	}
	for _, l := range *b.heard.Load() {
		(*l)(Batch{Newest: b.newest.Reading.Seq, Frames: frames})
	}
}
