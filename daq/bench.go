package daq

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"math"
	"os"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"joulewell/daq/clock"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
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

	Now    func() time.Time // clock of day, which may be set at any moment: dates runs and nothing else; nil = the host's
	Record runfile.Options  // how runs are written; zero = as usual
}

// Refusals of a command.
var (
	ErrStopped      = errors.New("the bench has stopped")
	ErrNoFolder     = errors.New("no data folder: start the daemon with --data")
	ErrNoReadings   = errors.New("no readings arrive from the device: nothing to record")
	ErrReplay       = errors.New("a recorded run is being played back: there is nothing new to record")
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
	setup    atomic.Pointer[setup.Bench] // written under mu
	dir      *os.Root                    // of the run files; nil = none
	hold     io.Closer                   // keeps others from recording into it; nil = none
	starting sync.Mutex                  // held over a start or stop of a run, disk included

	// The state proper. The source's goroutine works on it, a command or a status
	// now and then; each holds mu for microseconds and never waits for anything
	// while it does.
	mu        sync.Mutex
	stopped   bool
	listeners []*Listener
	splitter  wire.Splitter
	decoder   *wire.Decoder
	aligner   *clock.Aligner
	deriver   *Deriver
	recent    preTrigger
	link      linkState
	run       run
	epoch     uint32
	newest    Timed
	started   bool // newest holds a reading
	last      frame.Frame
	hasLast   bool
	refused   uint64 // readings that could not be placed in time
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
	if o.Now == nil {
		o.Now = time.Now
	}
	b := &Bench{
		opt:     o,
		decoder: decoder,
		aligner: clock.New(clock.Options{}),
		deriver: deriver,
		recent:  newPreTrigger(Reach),
		link:    newLinkState(o.Clock()),
	}
	b.setup.Store(o.Setup)
	if o.Dir != "" {
		if b.dir, b.hold, err = openFolder(o.Dir, o.Log); err != nil {
			return nil, err
		}
	}
	b.publish()
	return b, nil
}

// Setup returns what the bench goes by now. It must not be changed, see [Bench.Adopt].
func (b *Bench) Setup() *setup.Bench { return b.setup.Load() }

// Adopt makes the bench go by another setup from now on, after a calibration say: what
// it shows is worked out anew from the readings of the last moments. It refuses a setup
// that cannot be, and any while a run is being recorded, which has but one.
func (b *Bench) Adopt(s *setup.Bench) error {
	if _, err := NewDeriver(s); err != nil {
		return err
	}
	b.starting.Lock()
	defer b.starting.Unlock()
	var refusal error
	err := b.do(func() {
		if b.run.recorder != nil {
			refusal = ErrRecording
			return
		}
		b.setup.Store(s)
		b.deriver = b.replaced(math.MaxInt64, func([]frame.Frame) {})
	})
	return errors.Join(err, refusal)
}

// Well samples the potential energy [J] of bob and spring over height [m].
func (b *Bench) Well() (heights, potential []float64) {
	const points = 201
	model, err := energy.NewModel(b.Setup().Apparatus, 0)
	if err != nil {
		return nil, nil // New and Adopt have refused such a setup
	}
	return model.Well(points)
}

// Status returns the state of the bench as last published.
func (b *Bench) Status() *Status { return b.status.Load() }

// Listen calls l with every batch from now on, until stop is called. Once stop has
// returned, l is not called any more.
func (b *Bench) Listen(l Listener) (stop func()) {
	b.mu.Lock()
	defer b.mu.Unlock()
	entry := &l
	b.listeners = append(b.listeners, entry)
	return func() {
		b.mu.Lock()
		defer b.mu.Unlock()
		b.listeners = slices.DeleteFunc(b.listeners, func(e *Listener) bool { return e == entry })
	}
}

// Run reads the source until ctx ends; then it closes a run being recorded and
// returns. It may be called once.
func (b *Bench) Run(ctx context.Context) error {
	ticking := make(chan struct{})
	go func() {
		defer close(ticking)
		b.tick(ctx)
	}()
	b.opt.Source.Run(ctx, func(e source.Event) bool {
		b.mu.Lock()
		b.handle(&e)
		b.mu.Unlock()
		return ctx.Err() == nil
	})
	<-ctx.Done() // a recording that has come to its end is looked at for longer
	<-ticking
	err := b.finish()
	if b.dir != nil {
		b.dir.Close()
		b.hold.Close()
	}
	return err
}

// tick publishes a status now and then, so that silence is seen.
func (b *Bench) tick(ctx context.Context) {
	tick := time.NewTicker(statusEvery)
	defer tick.Stop()
	for {
		select {
		case <-tick.C:
			b.mu.Lock()
			b.publish()
			b.mu.Unlock()
		case <-ctx.Done():
			return
		}
	}
}

// do runs a command on the bench's state and publishes the status that shows its
// effect.
func (b *Bench) do(command func()) error {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.stopped {
		return ErrStopped
	}
	command()
	b.publish()
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
		b.accept(&Timed{T: e.T, Epoch: e.Epoch, Reading: e.Reading}, e.At, Replaying)
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
	if was := &b.newest.Reading; b.started && r.Reading.Seq == was.Seq && r.Reading.DeviceUs == was.DeviceUs {
		b.refused++ // the line came twice
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
	b.accept(&r, at, Live)
}

// accept takes a reading whose time is known: the one way for every source.
func (b *Bench) accept(r *Timed, at time.Duration, by Link) {
	if b.started && r.T < b.newest.T {
		b.refused++ // a new epoch may not begin before the old one ended
		return
	}
	b.epoch = r.Epoch
	b.newest, b.started = *r, true
	b.recent.add(r)
	if b.link.read(at, by) {
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
	for _, l := range b.listeners {
		(*l)(Batch{Newest: b.newest.Reading.Seq, Frames: frames})
	}
}
