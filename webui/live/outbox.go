package live

import (
	"strconv"
	"sync"
	"time"
)

// outbox holds what one viewer has still to be sent: the newest status, and the
// newest frames messages. When it is full the oldest message makes room, and the
// readings in it count as lost.
type outbox struct {
	wake chan struct{} // capacity 1: there may be something to send

	mu     sync.Mutex
	status []byte
	ring   []*message
	first  int // index of the oldest in ring
	count  int
	lost   uint64 // readings lost since the last frames message was taken out
	flow   *flow  // nil for a viewer who does not acknowledge
	last   []byte // scratch of take
}

func newOutbox(capacity int, ack bool) *outbox {
	o := &outbox{wake: make(chan struct{}, 1), ring: make([]*message, capacity)}
	if ack {
		o.flow = &flow{}
	}
	return o
}

// nudge wakes the writer.
func (o *outbox) nudge() {
	select {
	case o.wake <- struct{}{}:
	default: // it is awake or will be
	}
}

// offer puts a frames message in and returns the number of readings lost by it.
func (o *outbox) offer(m *message) (lost uint64) {
	o.mu.Lock()
	lost = m.skipped
	if o.count == len(o.ring) {
		lost += o.ring[o.first].frames
		o.ring[o.first] = nil
		o.first = (o.first + 1) % len(o.ring)
		o.count--
	}
	o.ring[(o.first+o.count)%len(o.ring)] = m
	o.count++
	o.lost += lost
	o.mu.Unlock()
	o.nudge()
	return lost
}

// tell replaces the status to be sent.
func (o *outbox) tell(status []byte) {
	o.mu.Lock()
	o.status = status
	o.mu.Unlock()
	o.nudge()
}

// take returns the next message to write at time now, or false when there is none or
// the viewer owes an acknowledgement. It stays valid until the next call.
func (o *outbox) take(now time.Time) ([]byte, bool) {
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.flow != nil && o.flow.held(now) {
		return nil, false
	}
	if o.status != nil {
		s := o.status
		o.status = nil
		return s, true
	}
	if o.count == 0 {
		return nil, false
	}
	m := o.ring[o.first]
	o.ring[o.first] = nil
	o.first = (o.first + 1) % len(o.ring)
	o.count--
	if o.flow != nil {
		o.flow.sent(m.seq, now)
	}
	if o.lost == 0 {
		return m.data, true
	}
	o.last = append(o.last[:0], framesHead...)
	o.last = strconv.AppendUint(o.last, o.lost, 10)
	o.last = append(o.last, m.data[len(framesHead)+1:]...)
	o.lost = 0
	return o.last, true
}

// acknowledge notes that the viewer has taken the message whose newest reading was
// seq, and all before it.
func (o *outbox) acknowledge(seq uint32) {
	o.mu.Lock()
	if o.flow != nil {
		o.flow.acknowledged(seq)
	}
	o.mu.Unlock()
	o.nudge()
}
