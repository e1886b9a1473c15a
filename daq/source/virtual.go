package source

import "context"

// Player is a device that is simulated or recorded.
type Player interface {
	// Next returns the next bytes and the time at which they leave the device, in
	// nanoseconds from any fixed instant, never falling. It does not wait. The bytes
	// are the caller's until the following call. ok is false at the end.
	Next() (chunk []byte, at int64, ok bool)
}

// Virtual is a simulated device taken for a source.
type Virtual struct {
	player Player
	opts   PlayOptions
}

// NewVirtual returns a source that plays p. At speed 0 the bytes arrive at their own
// time, so that the same player gives the same events; otherwise by the clock.
func NewVirtual(p Player, o PlayOptions) *Virtual { return &Virtual{p, o} }

// Describe implements [Source].
func (v *Virtual) Describe() string { return v.opts.Name }

// Virtual implements [Source].
func (v *Virtual) Virtual() bool { return true }

// Run implements [Source].
func (v *Virtual) Run(ctx context.Context, emit func(Event) bool) {
	pace := newPace(v.opts)
	if !emit(Event{Kind: Opened, At: pace.now(0), Name: v.opts.Name}) {
		return
	}
	var last int64
	for ctx.Err() == nil {
		chunk, at, ok := v.player.Next()
		if !ok {
			emit(Event{Kind: Ended, At: pace.now(last)})
			return
		}
		last = at
		arrival, ok := pace.until(ctx, at)
		if !ok || !emit(Event{Kind: Bytes, At: arrival, Bytes: chunk}) {
			return
		}
	}
}
