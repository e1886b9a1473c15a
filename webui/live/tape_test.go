package live

import (
	"sync"
	"testing"
	"time"

	"pgregory.net/rapid"

	"joulewell/daq/frame"
)

// Whatever the batches and however seldom it reads, a reader's frames and its skipped
// frames add up to what was written, and the order holds.
func TestTapeAccounts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var tape tape
		r := newReader(&tape)
		var written, got, skipped uint64
		last := int64(-1)
		drain := func() {
			for {
				span, missed := r.read()
				if span == nil {
					return
				}
				skipped += missed
				for _, e := range span {
					if !e.filled {
						continue
					}
					got++
					if e.frame.T <= last {
						t.Fatalf("frame %d after %d", e.frame.T, last)
					}
					last = e.frame.T
				}
			}
		}
		for range rapid.IntRange(1, 20).Draw(t, "batches") {
			frames := make([]frame.Frame, rapid.SampledFrom([]int{0, 0, 1, 1, 2, 63, 64, 65, 129, 9000}).Draw(t, "n"))
			for i := range frames {
				frames[i].T = int64(written) + int64(i)
			}
			tape.write(frames, 7)
			written += uint64(len(frames))
			if rapid.Bool().Draw(t, "drain") {
				drain()
				if got+skipped != written {
					t.Fatalf("%d read + %d skipped, %d written", got, skipped, written)
				}
			}
		}
	})
}

// A late reader starts at the end, with nothing to its debit.
func TestTapeLateReader(t *testing.T) {
	var tape tape
	for i := range 20_000 {
		tape.write([]frame.Frame{testFrame(i)}, uint32(i))
	}
	r := newReader(&tape)
	if span, _ := r.read(); span != nil {
		t.Fatalf("a new reader finds %d old entries", len(span))
	}
	tape.write([]frame.Frame{testFrame(20_000)}, 20_000)
	span, skipped := r.read()
	if len(span) != 1 || skipped != 0 || span[0].frame.T != testFrame(20_000).T {
		t.Fatalf("read %d entries, %d skipped; want the one written since", len(span), skipped)
	}
}

// Readers beside a writer that never waits see whole batches only (under -race this
// is also the proof that they need no lock).
func TestTapeBesideWriter(t *testing.T) {
	const batches = 100_000
	var tape tape
	var readers sync.WaitGroup
	stop := make(chan struct{})
	for range 3 {
		r := newReader(&tape)
		readers.Go(func() {
			var got, skipped uint64
			for done := false; !done; {
				select {
				case <-stop:
					done = true
				case <-time.After(100 * time.Microsecond):
				}
				for span, missed := r.read(); span != nil; span, missed = r.read() {
					skipped += missed
					got += uint64(len(span))
					if len(span)%2 != 0 || span[0].last || !span[len(span)-1].last {
						t.Errorf("%d entries, half a batch among them", len(span))
					}
				}
			}
			if got+skipped != 2*batches {
				t.Errorf("%d read + %d skipped, want %d in all", got, skipped, 2*batches)
			}
		})
	}
	for i := range batches {
		tape.write([]frame.Frame{{T: int64(2 * i)}, {T: int64(2*i + 1)}}, uint32(i))
	}
	close(stop)
	readers.Wait()
}
