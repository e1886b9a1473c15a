package main

import (
	"context"
	"log/slog"
	"sync"
	"time"
)

// How often one message is told: a cable that wobbles must not fill the journal.
const (
	tellFreely = 5           // [1] times that it is told as it comes
	tellEvery  = time.Minute // then no more often than this
	tellApart  = 256         // [1] messages that are counted apart
)

// sparing is a [slog.Handler] that keeps messages that repeat themselves from being told
// each time. One that is told after others were not says how many: held_back.
type sparing struct {
	slog.Handler
	told *told // shared by the handlers made of one
}

type told struct {
	now func() time.Time
	mu  sync.Mutex
	by  map[string]*telling
}

type telling struct {
	count int // [1] in the present minute
	held  int // [1] since last told
	since time.Time
}

func newSparing(next slog.Handler, now func() time.Time) sparing {
	return sparing{next, &told{now: now, by: map[string]*telling{}}}
}

// Handle implements [slog.Handler].
func (s sparing) Handle(ctx context.Context, r slog.Record) error {
	held, tell := s.told.note(r.Message)
	if !tell {
		return nil
	}
	if held > 0 {
		r = r.Clone()
		r.AddAttrs(slog.Int("held_back", held))
	}
	return s.Handler.Handle(ctx, r)
}

// WithAttrs implements [slog.Handler].
func (s sparing) WithAttrs(attrs []slog.Attr) slog.Handler {
	return sparing{s.Handler.WithAttrs(attrs), s.told}
}

// WithGroup implements [slog.Handler].
func (s sparing) WithGroup(name string) slog.Handler {
	return sparing{s.Handler.WithGroup(name), s.told}
}

// note counts a message, and tells whether to tell it and how many of its kind were not
// since the last that was. A clock of day that is set back does not silence anything.
func (t *told) note(message string) (held int, tell bool) {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	m := t.by[message]
	if m == nil {
		if len(t.by) >= tellApart {
			clear(t.by)
		}
		m = &telling{since: now}
		t.by[message] = m
	}
	if past := now.Sub(m.since); past >= tellEvery || past < 0 {
		m.since = now
		m.count = max(0, min(m.count, tellFreely)-1) // after a minute one more is told
		if past >= tellFreely*tellEvery {
			m.count = 0
		}
	}
	if m.count >= tellFreely {
		m.held++
		return 0, false
	}
	held, m.held = m.held, 0
	m.count++
	return held, true
}
