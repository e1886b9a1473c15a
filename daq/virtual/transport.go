package virtual

import "math/rand/v2"

// queued is how far [ns] the line may fall behind before the device throws lines away.
const queued = 250_000_000

// transport carries lines to the host: byte by byte at the bit rate, then perhaps in
// batches, in pieces, or late.
type transport struct {
	Line
	rng  *rand.Rand
	idle int64 // [ns] until which the line is busy
	last int64 // [ns] of the newest arrival

	stall, stallEnd int64 // [ns] in between everything waits for the end

	batch    int64  // [ns] at which the bridge hands over what it holds
	held     []byte // by the bridge
	bytes    []byte // of the pieces below
	pieces   []piece
	next     int // piece to be handed out next
	consumed int // bytes of bytes handed out
}

// piece is a run of bytes that arrives at once.
type piece struct {
	end int   // in transport.bytes
	at  int64 // [ns]
}

func newTransport(c *Config) *transport {
	return &transport{Line: c.Line, rng: stream(c.Seed, "transport")}
}

// free reports whether a line that is ready at the instant at [ns] finds a place.
func (t *transport) free(at int64) bool { return t.idle-at < queued }

// start returns when [ns] a line whose values are there at the instant ready [ns]
// begins to be sent.
func (t *transport) start(ready int64) int64 {
	if t.Jitter > 0 {
		ready += nanoseconds(t.Jitter * t.rng.ExpFloat64())
	}
	return max(ready, t.idle)
}

// send puts a line on the wire, the first byte at the instant start [ns].
func (t *transport) send(line []byte, start int64) {
	perByte := 0.0
	if t.Baud > 0 {
		perByte = 10 / t.Baud
	}
	through := func(n int) int64 { return start + nanoseconds(float64(n)*perByte) }
	t.idle = through(len(line))
	cut := len(line)
	if t.Split > 0 && t.rng.Float64() < t.Split && len(line) > 1 {
		cut = 1 + t.rng.IntN(len(line)-1)
	}
	if t.Batch > 0 {
		t.hold(line, through)
		return
	}
	t.hand(line[:cut], through(cut))
	t.hand(line[cut:], through(len(line)))
}

// hold gives the bytes to a bridge that hands over at each expiry of its timer what
// has come by then. through tells when the first n bytes are through.
func (t *transport) hold(line []byte, through func(int) int64) {
	from := 0
	for n := 1; n <= len(line); n++ {
		for through(n) > t.batch {
			t.held = append(t.held, line[from:n-1]...)
			from = n - 1
			t.hand(t.held, t.batch)
			t.held = t.held[:0]
			t.batch += nanoseconds(t.Batch)
		}
	}
	t.held = append(t.held, line[from:]...)
}

// hand makes bytes arrive at the instant at [ns].
func (t *transport) hand(b []byte, at int64) {
	if len(b) == 0 {
		return
	}
	if t.stall <= at && at < t.stallEnd {
		at = t.stallEnd
	}
	t.last = max(t.last, at)
	t.bytes = append(t.bytes, b...)
	t.pieces = append(t.pieces, piece{len(t.bytes), t.last})
}

// take returns the next bytes to arrive; ok is false when there are none at hand.
func (t *transport) take() (b []byte, at int64, ok bool) {
	if t.next == len(t.pieces) {
		t.drop()
		return nil, 0, false
	}
	p := t.pieces[t.next]
	b = t.bytes[t.consumed:p.end]
	t.next++
	t.consumed = p.end
	return b, p.at, true
}

// drop forgets what has not been handed out.
func (t *transport) drop() {
	t.bytes, t.pieces, t.next, t.consumed = t.bytes[:0], t.pieces[:0], 0, 0
}
