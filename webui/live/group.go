package live

import (
	"slices"
	"sync"
	"time"
)

// group is all viewers with one subscription. It reads the tape, encodes each message
// once and offers it to every member: at the pace of its own goroutine (run), or for
// every reading at once on the bench's. The latter takes two microseconds a reading
// and waits for nobody; waking another goroutine would take a viewer ten times that.
type group struct {
	period time.Duration // 0 = every batch at once
	wake   chan struct{} // capacity 1: the tape has grown
	quit   chan struct{}
	lost   func(uint64) // counts readings lost to a viewer

	reader  reader
	encoder *encoder
	spans   [][]entry // scratch

	mu      sync.Mutex
	members []*outbox
}

func newGroup(s Subscription, t *tape, lost func(uint64)) *group {
	return &group{
		period:  s.period(),
		wake:    make(chan struct{}, 1),
		quit:    make(chan struct{}),
		lost:    lost,
		reader:  newReader(t),
		encoder: newEncoder(s.columns()),
	}
}

func (g *group) join(o *outbox) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.members = append(g.members, o)
}

// leave reports whether the group is empty now.
func (g *group) leave(o *outbox) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	if i := slices.Index(g.members, o); i >= 0 {
		g.members = slices.Delete(g.members, i, i+1)
	}
	return len(g.members) == 0
}

// grown is called on the bench's goroutine when the tape has grown.
func (g *group) grown() {
	if g.period == 0 {
		g.relay()
		return
	}
	select {
	case g.wake <- struct{}{}:
	default:
	}
}

// run relays until quit is closed. The first frame after a pause goes out at once;
// those that follow within the period go out together at its end.
func (g *group) run() {
	if g.period == 0 {
		return // see grown
	}
	timer := time.NewTimer(0)
	defer timer.Stop()
	var due time.Time
	for {
		select {
		case <-g.wake:
		case <-g.quit:
			return
		}
		if g.period > 0 {
			now := time.Now()
			if wait := due.Sub(now); wait > 0 {
				timer.Reset(wait)
				select {
				case <-timer.C:
				case <-g.quit:
					return
				}
				due = due.Add(g.period) // keeps the rate in spite of late timers
			} else {
				due = now.Add(g.period)
			}
		}
		g.relay()
	}
}

// relay sends what the tape holds: one message in all, or one for each batch.
func (g *group) relay() {
	select {
	case <-g.wake: // for what is read now
	default:
	}
	spans := g.spans[:0]
	var skipped uint64
	for {
		span, missed := g.reader.read()
		if span == nil {
			break
		}
		skipped += missed
		if g.period > 0 {
			spans = append(spans, span)
			continue
		}
		for len(span) > 0 {
			n := batchLen(span)
			spans = append(spans, span[:n])
			if span[n-1].last {
				g.deliver(spans, skipped)
				spans, skipped = spans[:0], 0
			}
			span = span[n:]
		}
	}
	if g.period > 0 && len(spans) > 0 {
		g.deliver(spans, skipped)
	}
	clear(spans[:cap(spans)]) // a span kept would keep its block
	g.spans = spans[:0]
}

// batchLen returns how many entries of span belong to its first batch.
func batchLen(span []entry) int {
	for i := range span {
		if span[i].last {
			return i + 1
		}
	}
	return len(span)
}

func (g *group) deliver(spans [][]entry, skipped uint64) {
	m := g.encoder.message(spans)
	m.skipped = skipped
	if g.period > 0 && m.frames == 0 && skipped == 0 {
		return // nothing to show; the next message carries the seq
	}
	var lost uint64
	g.mu.Lock()
	for _, o := range g.members {
		lost += o.offer(m)
	}
	g.mu.Unlock()
	g.lost(lost)
}
