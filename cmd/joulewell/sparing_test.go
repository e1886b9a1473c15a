package main

import (
	"fmt"
	"log/slog"
	"strings"
	"testing"
	"time"
)

// A message that repeats itself is told a few times, then once a minute with the number
// of those that were not; others are not held up by it.
func TestLogIsSparing(t *testing.T) {
	var out strings.Builder
	now := time.Date(2026, 11, 27, 19, 0, 0, 0, time.UTC)
	log := slog.New(newSparing(slog.NewTextHandler(&out, nil), func() time.Time { return now })).With("bench", "Severn")
	count := func(message string) int { return strings.Count(out.String(), message) }
	for range 600 { // ten a second for a minute
		log.Warn("device lost", "port", "/dev/ttyUSB0")
		now = now.Add(100 * time.Millisecond)
	}
	if n := count("device lost"); n != tellFreely {
		t.Errorf("told %d times in the first minute, want %d", n, tellFreely)
	}
	log.Warn("repaired a run")
	if count("repaired a run") != 1 {
		t.Error("another message is held back")
	}
	log.Warn("device lost")
	if !strings.Contains(out.String(), "held_back=595") || count("bench=Severn") != tellFreely+2 {
		t.Errorf("after a minute: %s", out.String())
	}
	now = now.Add(-3 * time.Hour)
	log.Warn("device lost")
	if n := count("device lost"); n != tellFreely+2 {
		t.Errorf("told %d times after the clock was set back, want %d", n, tellFreely+2)
	}
	for i := range 10 * tellApart {
		log.Warn(fmt.Sprint("one of many ", i))
	}
	if n := count("one of many"); n != 10*tellApart {
		t.Errorf("%d of %d different messages are told", n, 10*tellApart)
	}
}
