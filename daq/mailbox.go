package daq

import (
	"context"

	"joulewell/daq/source"
)

// mailbox carries events from the source's goroutine to the bench's without
// allocating: letters go round between the two.
type mailbox struct {
	full, empty chan *source.Event
}

// letters is how far the bench may fall behind its source before the source waits.
const letters = 64

func newMailbox() *mailbox {
	m := &mailbox{full: make(chan *source.Event, letters), empty: make(chan *source.Event, letters)}
	for range letters {
		m.empty <- &source.Event{Bytes: make([]byte, 0, 4096)}
	}
	return m
}

// emitter returns the function that a source is given to send events with.
func (m *mailbox) emitter(ctx context.Context) func(source.Event) bool {
	return func(e source.Event) bool {
		var letter *source.Event
		select {
		case letter = <-m.empty:
		case <-ctx.Done():
			return false
		}
		buffer := append(letter.Bytes[:0], e.Bytes...) // the source may use its own again
		*letter = e
		letter.Bytes = buffer
		select {
		case m.full <- letter:
			return true
		case <-ctx.Done():
			return false
		}
	}
}

func (m *mailbox) giveBack(e *source.Event) { m.empty <- e }
