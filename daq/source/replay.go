package source

import (
	"context"
	"errors"
	"io"

	"joulewell/daq/wire"
)

// NextReading returns the next reading of a recorded run, its time in nanoseconds on
// the run's time base and its epoch; io.EOF at the end.
type NextReading func() (r wire.Reading, t int64, epoch uint32, err error)

// Replay plays a recorded run: its readings come with their times.
type Replay struct {
	next    NextReading
	virtual bool
	opts    PlayOptions
}

// NewReplay returns a source that plays what next returns, by the recorded times.
// virtual says that the run was simulated when it was recorded.
func NewReplay(next NextReading, virtual bool, o PlayOptions) *Replay {
	return &Replay{next, virtual, o}
}

// Describe implements [Source].
func (s *Replay) Describe() string { return s.opts.Name }

// Virtual implements [Source].
func (s *Replay) Virtual() bool { return s.virtual }

// Run implements [Source]. A run that cannot be read to its end is played as far as
// it goes; then Ended says why.
func (s *Replay) Run(ctx context.Context, emit func(Event) bool) {
	pace := newPace(s.opts)
	if !emit(Event{Kind: Opened, At: pace.now(0), Name: s.opts.Name}) {
		return
	}
	var last int64
	for ctx.Err() == nil {
		r, t, epoch, err := s.next()
		if err != nil {
			if errors.Is(err, io.EOF) {
				err = nil
			}
			emit(Event{Kind: Ended, At: pace.now(last), Err: err})
			return
		}
		last = t
		arrival, ok := pace.until(ctx, t)
		if !ok || !emit(Event{Kind: Timed, At: arrival, Reading: r, T: t, Epoch: epoch}) {
			return
		}
	}
}
