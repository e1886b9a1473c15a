package live

import (
	"io"
	"runtime/debug"
	"sync"
	"time"

	"github.com/gorilla/websocket"

	"joulewell/daq/setup"
)

const (
	writeWithin  = 10 * time.Second // a viewer whose network takes nothing for so long is gone
	pingEvery    = 25 * time.Second
	silentFor    = 60 * time.Second // neither message nor answer to two pings: gone
	closeWithin  = 200 * time.Millisecond
	inboundLimit = 4096 // [1/s] messages from a client
)

// viewer is one websocket: an outbox, a goroutine that writes it and one that reads
// what the client has to say.
type viewer struct {
	hub    *Hub
	conn   *websocket.Conn
	query  Query
	outbox *outbox
	hello  []byte
	setup  *setup.Bench // what hello told of
	sealed bool         // likewise

	leaving chan struct{} // closed by goAway
	away    sync.Once
	code    int           // to close with, set before leaving is closed
	why     string        // likewise
	done    chan struct{} // closed when the reading side has ended
}

func newViewer(h *Hub, conn *websocket.Conn, q Query) *viewer {
	capacity := queuedTimed
	if q.Subscription.rate == EveryReading {
		capacity = queuedEvery
	}
	return &viewer{
		hub: h, conn: conn, query: q,
		outbox:  newOutbox(capacity, q.Ack),
		leaving: make(chan struct{}),
		done:    make(chan struct{}),
	}
}

// serve returns when the connection has ended.
func (v *viewer) serve() {
	var writer sync.WaitGroup
	writer.Go(func() { v.guarded(v.write) })
	v.guarded(v.read)
	close(v.done)
	v.conn.Close() // frees a writer that waits for the network
	writer.Wait()
}

// guarded keeps a slip in one connection from ending the daemon, and ends that
// connection when f does.
func (v *viewer) guarded(f func()) {
	defer func() {
		if p := recover(); p != nil {
			v.hub.options.Log.Error("serve a viewer", "panic", p, "stack", string(debug.Stack()))
			v.conn.Close()
		}
	}()
	f()
}

// write sends hello and then the outbox, until the first failure: a connection that
// has failed to write once never writes again.
func (v *viewer) write() {
	ping := time.NewTicker(pingEvery)
	defer ping.Stop()
	if !v.send(v.hello) {
		return
	}
	for {
		select {
		case <-v.outbox.wake:
			if !v.sendAll() {
				return
			}
		case <-ping.C:
			if v.conn.WriteControl(websocket.PingMessage, nil, time.Now().Add(writeWithin)) != nil {
				v.conn.Close()
				return
			}
		case <-v.leaving:
			v.end(v.code, v.why)
			return // the reader waits for the client's answer
		case <-v.done:
			return
		}
	}
}

// sendAll empties the outbox, unless it is time to leave.
func (v *viewer) sendAll() bool {
	for {
		select {
		case <-v.leaving:
			return true
		default:
		}
		data, ok := v.outbox.take(time.Now())
		if !ok {
			return true
		}
		if !v.send(data) {
			return false
		}
	}
}

func (v *viewer) send(data []byte) bool {
	v.conn.SetWriteDeadline(time.Now().Add(writeWithin))
	if v.conn.WriteMessage(websocket.TextMessage, data) != nil {
		v.conn.Close()
		return false
	}
	return true
}

// read takes what the client says until the connection ends.
func (v *viewer) read() {
	alive := func(string) error { return v.conn.SetReadDeadline(time.Now().Add(silentFor)) }
	v.conn.SetPongHandler(alive)
	v.conn.SetReadLimit(maxInbound)
	var second time.Time
	var inSecond int
	buf := make([]byte, 0, 512)
	for {
		alive("")
		typ, r, err := v.conn.NextReader()
		if err != nil {
			return
		}
		if buf, err = readAll(buf[:0], r); err != nil {
			return
		}
		if now := time.Now(); now.Sub(second) > time.Second {
			second, inSecond = now, 0
		}
		if inSecond++; inSecond > inboundLimit {
			v.end(websocket.ClosePolicyViolation, "too many messages")
			return
		}
		if typ != websocket.TextMessage {
			v.end(websocket.CloseUnsupportedData, "only text is understood")
			return
		}
		switch kind, seq := parseInbound(buf); kind {
		case malformed:
			v.end(websocket.CloseInvalidFramePayloadData, "not a JSON object")
			return
		case ignored:
			v.hub.ignored.Add(1)
		case acked:
			v.outbox.acknowledge(seq)
		}
	}
}

// readAll appends what r holds to buf; the connection's read limit bounds it.
func readAll(buf []byte, r io.Reader) ([]byte, error) {
	for {
		if len(buf) == cap(buf) {
			buf = append(buf, 0)[:len(buf)]
		}
		n, err := r.Read(buf[len(buf):cap(buf)])
		buf = buf[:len(buf)+n]
		if err == io.EOF {
			return buf, nil
		}
		if err != nil {
			return buf, err
		}
	}
}

// end tells the client why the connection is about to close. It may be called beside
// a write that is under way.
func (v *viewer) end(code int, why string) {
	v.conn.WriteControl(websocket.CloseMessage, websocket.FormatCloseMessage(code, why), time.Now().Add(closeWithin))
}

// goAway makes the writer say goodbye, by a close code and why; it never waits.
func (v *viewer) goAway(code int, why string) {
	v.away.Do(func() {
		v.code, v.why = code, why
		close(v.leaving)
	})
}
