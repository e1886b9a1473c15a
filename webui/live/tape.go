package live

import (
	"sync/atomic"

	"joulewell/daq/frame"
)

const (
	blockLen  = 64  // entries in a block, below the size at which allocation becomes dear
	blockKept = 128 // blocks on the tape: 8192 entries, four seconds at 2000 readings/s
)

// entry is one step of the bench: a frame, or a batch that released none.
type entry struct {
	frame  frame.Frame
	frames uint64 // [1] frames on the tape up to here, this one included
	newest uint32 // [1] seq of the newest accepted reading at that time
	filled bool   // there is a frame
	last   bool   // the batch ends here
}

type block struct {
	first   uint64 // number of entries[0], counted from the tape's beginning
	entries [blockLen]entry
}

// tape holds the newest entries for any number of readers. One goroutine writes and
// never waits: entries are written once and only then counted, and a block that has
// left the ring stays valid for a reader that still holds it.
type tape struct {
	ring   [blockKept]atomic.Pointer[block]
	end    atomic.Uint64 // entries that readers may see
	block  *block        // the writer's current block
	next   uint64        // the writer's count of entries
	frames uint64        // the writer's count of frames
}

// write appends a batch. Readers see all of it or nothing.
func (t *tape) write(frames []frame.Frame, newest uint32) {
	for i := range frames {
		e := t.slot()
		e.frame, e.filled = frames[i], true
		t.frames++
		e.frames, e.newest, e.last = t.frames, newest, i == len(frames)-1
	}
	if len(frames) == 0 {
		e := t.slot()
		e.frames, e.newest, e.last = t.frames, newest, true
	}
	t.end.Store(t.next)
}

func (t *tape) slot() *entry {
	i := t.next % blockLen
	if i == 0 {
		t.block = &block{first: t.next}
		t.ring[t.next/blockLen%blockKept].Store(t.block)
	}
	t.next++
	return &t.block.entries[i]
}

// reader is a place on the tape. Only its owner may use it.
type reader struct {
	tape *tape
	next uint64 // number of the entry to read next
	seen uint64 // frames before it, read or skipped
}

// newReader starts at the tape's present end.
func newReader(t *tape) reader {
	for {
		end := t.end.Load()
		if end == 0 {
			return reader{tape: t}
		}
		if b := t.holding(end - 1); b != nil {
			return reader{t, end, b.entries[end-1-b.first].frames}
		}
	}
}

// holding returns the block that holds entry n, or nil when it has left the ring.
func (t *tape) holding(n uint64) *block {
	b := t.ring[n/blockLen%blockKept].Load()
	if b.first != n-n%blockLen {
		return nil
	}
	return b
}

// read returns the next entries, at most a block of them, or nil when there are no
// more. A reader that the writer has lapped goes on with newer entries and is told
// how many frames it missed.
func (r *reader) read() (span []entry, skipped uint64) {
	for {
		end := r.tape.end.Load()
		if r.next >= end {
			return nil, 0
		}
		b := r.tape.holding(r.next)
		if b == nil {
			// Half a ring behind, so that the writer does not lap it again at once.
			r.next = end - end%blockLen - blockKept/2*blockLen
			continue
		}
		span = b.entries[r.next-b.first : min(end-b.first, blockLen)]
		r.next += uint64(len(span))
		before := span[0].frames
		if span[0].filled {
			before--
		}
		skipped = before - r.seen
		r.seen = span[len(span)-1].frames
		return span, skipped
	}
}
