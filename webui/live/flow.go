package live

import "time"

const (
	flowMessages = 256             // sent and not acknowledged
	flowAge      = 2 * time.Second // of the oldest of them
)

// flow tells when a viewer who acknowledges has fallen too far behind to be sent
// more. The kernel's buffers take many seconds of messages for a page that has
// stopped reading; without this they would all be old when it goes on.
type flow struct {
	open  [flowMessages]openMessage // a ring
	first int
	count int
}

type openMessage struct {
	seq uint32
	at  time.Time
}

func (f *flow) held(now time.Time) bool {
	return f.count == len(f.open) || f.count > 0 && now.Sub(f.open[f.first].at) > flowAge
}

// sent notes a message. There is room: held was asked before.
func (f *flow) sent(seq uint32, at time.Time) {
	f.open[(f.first+f.count)%len(f.open)] = openMessage{seq, at}
	f.count++
}

// acknowledged closes the newest open message with this seq and all before it. A seq
// that is not open changes nothing.
func (f *flow) acknowledged(seq uint32) {
	for n := f.count; n > 0; n-- {
		if f.open[(f.first+n-1)%len(f.open)].seq == seq {
			f.first = (f.first + n) % len(f.open)
			f.count -= n
			return
		}
	}
}
