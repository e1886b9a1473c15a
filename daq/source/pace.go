package source

import (
	"context"
	"time"
)

// PlayOptions says how something recorded or simulated is played.
type PlayOptions struct {
	Name  string  // for people: "virtual bench", "run of Tamar, S-4"
	Speed float64 // [1] 1 = real time, 10 = ten times as fast; 0 (or less) = as fast as it is read
	Clock Clock   // arrival times when Speed > 0; nil = one that starts now
}

// pace ties a played time to the host clock. It is absolute: after a stall the
// player hurries until it has caught up, as bytes held up in a driver would.
type pace struct {
	clock Clock
	speed float64
	begun bool
	host  time.Duration // host clock at the first time played
	first int64         // [ns] that time
}

func newPace(o PlayOptions) *pace {
	p := &pace{clock: o.Clock, speed: o.Speed}
	if p.clock == nil {
		p.clock = NewClock()
	}
	if !(p.speed > 0) { // NaN too
		p.speed = 0
	}
	return p
}

// left returns how long to wait until at is due; zero or less when it is.
func (p *pace) left(at int64) time.Duration {
	if p.speed == 0 {
		return 0
	}
	if !p.begun {
		p.begun, p.host, p.first = true, p.clock(), at
	}
	due := p.host + time.Duration(float64(at-p.first)/p.speed)
	return due - p.clock()
}

// until waits for at and returns the arrival time to report; false once ctx has ended.
// Unpaced, a thing arrives at its own time: the same input gives the same events.
func (p *pace) until(ctx context.Context, at int64) (time.Duration, bool) {
	if left := p.left(at); left > 0 && !pause(ctx, left) {
		return 0, false
	}
	return p.now(at), true
}

// now is the arrival time of what was due at at.
func (p *pace) now(at int64) time.Duration {
	if p.speed == 0 {
		return time.Duration(at)
	}
	return p.clock()
}
