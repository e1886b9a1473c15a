package source

import (
	"bytes"
	"context"
	"testing"
	"time"
)

// guard is how long a test waits for what must happen; only a broken program takes it.
const guard = 20 * time.Second

// tape runs a source and hands its events to the test one by one.
type tape struct {
	t      *testing.T
	events chan Event
	stop   context.CancelFunc
	done   chan struct{}
}

func play(t *testing.T, s Source) *tape {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	p := &tape{t, make(chan Event), cancel, make(chan struct{})}
	go func() {
		defer close(p.done)
		s.Run(ctx, func(e Event) bool {
			e.Bytes = bytes.Clone(e.Bytes)
			select {
			case p.events <- e:
				return true
			case <-ctx.Done():
				return false
			}
		})
	}()
	t.Cleanup(p.end)
	return p
}

// end stops the source and waits until it has let go of everything.
func (p *tape) end() {
	p.stop()
	select {
	case <-p.done:
	case <-time.After(guard):
		p.t.Fatal("Run does not return after its context ended")
	}
}

// any returns the next event.
func (p *tape) any() Event {
	p.t.Helper()
	select {
	case e := <-p.events:
		return e
	case <-p.done:
		p.t.Fatal("Run returned, want an event")
	case <-time.After(guard):
		p.t.Fatal("nothing happens, want an event")
	}
	return Event{}
}

// next returns the next event, which must be of that kind.
func (p *tape) next(kind Kind) Event {
	p.t.Helper()
	e := p.any()
	if e.Kind != kind {
		p.t.Fatalf("event of kind %d (name %q, bytes %q, cause %v), want kind %d", e.Kind, e.Name, e.Bytes, e.Err, kind)
	}
	return e
}

// bytes collects n bytes.
func (p *tape) bytes(n int) []byte {
	p.t.Helper()
	var got []byte
	for len(got) < n {
		got = append(got, p.next(Bytes).Bytes...)
	}
	return got
}

// collect runs a source that ends by itself.
func collect(s Source) []Event {
	var all []Event
	s.Run(context.Background(), func(e Event) bool {
		e.Bytes = bytes.Clone(e.Bytes)
		all = append(all, e)
		return true
	})
	return all
}
