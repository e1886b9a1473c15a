package live

import (
	"fmt"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"joulewell/daq"
	"joulewell/daq/setup"
)

// A viewer who never reads loses readings, is told exactly how many, and is no
// trouble to the bench or to others.
func TestSlowViewer(t *testing.T) {
	const batches = 30_000
	h := newTestHub(t)
	slow := h.dial(t, "rate=all")
	quick := h.dial(t, "rate=60&ack=no")
	var quickGot, quickLost uint64
	var reading sync.WaitGroup
	reading.Go(func() { quickGot, quickLost = readUntil(t, quick, 2*batches) })
	// This loop is the bench: it comes to its end though slow takes nothing.
	for i := range batches {
		h.Publish(testBatch(2*i, 2))
	}
	h.Publish(daq.Batch{Newest: 2 * batches}) // the last seq again, whatever was dropped
	reading.Wait()
	if quickGot+quickLost != 2*batches {
		t.Errorf("the quick viewer got %d and lost %d of %d", quickGot, quickLost, 2*batches)
	}
	got, lost := readUntil(t, slow, 2*batches)
	if got+lost != 2*batches || lost == 0 {
		t.Errorf("the slow viewer got %d and lost %d of %d", got, lost, 2*batches)
	}
	if total := h.Lost(); total < lost {
		t.Errorf("the hub counts %d lost readings, one viewer alone lost %d", total, lost)
	}
}

// A viewer who acknowledges is sent no more than its due, and all that is kept for it
// once it acknowledges.
func TestAcknowledgements(t *testing.T) {
	h := newTestHub(t)
	c := h.dial(t, "rate=all&ack=yes&channels=height_m")
	var got, lost uint64
	var newest uint32
	next := func() {
		m := readMessage(t, c)
		if m.Type == "frames" {
			got, lost, newest = got+m.N, lost+m.Lost, m.Seq
		}
	}
	for i := range flowMessages {
		h.Publish(testBatch(i, 1))
		for newest != uint32(i+1) {
			next()
		}
	}
	const more = 3 * queuedEvery
	for i := range more {
		h.Publish(testBatch(flowMessages+i, 1))
	}
	// Nothing can be sent, so the queue keeps what it can and loses the rest.
	await(t, "the oldest to make room", func() bool { return h.Lost() == more-queuedEvery })
	ack(t, c, newest)
	for newest != flowMessages+more {
		before := newest
		next()
		if newest != before {
			ack(t, c, newest)
		}
	}
	if got+lost != flowMessages+more {
		t.Errorf("got %d and lost %d of %d", got, lost, flowMessages+more)
	}
	if lost != more-queuedEvery {
		t.Errorf("told of %d lost readings, want %d", lost, more-queuedEvery)
	}
}

func ack(t *testing.T, c *websocket.Conn, seq uint32) {
	t.Helper()
	if err := c.WriteJSON(map[string]any{"type": "ack", "seq": seq}); err != nil {
		t.Fatal(err)
	}
}

func TestManyViewers(t *testing.T) {
	const viewers, batches = 300, 200
	h := newTestHub(t)
	var reading sync.WaitGroup
	for range viewers {
		c := h.dial(t, "rate=120&channels=total_J")
		reading.Go(func() {
			if got, lost := readUntil(t, c, batches); got+lost != batches {
				t.Errorf("got %d and lost %d of %d", got, lost, batches)
			}
		})
	}
	if n := h.Viewers(); n != viewers {
		t.Errorf("%d viewers, want %d", n, viewers)
	}
	h.mu.Lock()
	if n := len(h.byKey); n != 1 {
		t.Errorf("%d encodings for equal subscriptions, want 1", n)
	}
	h.mu.Unlock()
	for i := range batches {
		h.Publish(testBatch(i, 1))
	}
	reading.Wait()
}

// Close says goodbye with 1001 and lets nobody in any more. (newTestHub checks that no
// goroutine is left.)
func TestClose(t *testing.T) {
	h := newTestHub(t)
	c := h.dial(t, "")
	closed := make(chan struct{})
	go func() { h.Close(time.Minute); close(closed) }() // nothing needs to be cut
	if code := closeCode(t, c); code != websocket.CloseGoingAway {
		t.Errorf("close code %d, want 1001", code)
	}
	<-closed
	if n := h.Viewers(); n != 0 {
		t.Errorf("%d viewers are left", n)
	}
	if _, answer, err := websocket.DefaultDialer.Dial(h.url, nil); err == nil || answer.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("a closed hub takes a viewer: %v", err)
	}
}

// A viewer who takes nothing does not hold Close up.
func TestCloseCuts(t *testing.T) {
	h := newTestHub(t)
	deaf := h.dial(t, "rate=all")
	for i := range 20_000 {
		h.Publish(testBatch(i, 1))
	}
	began := time.Now()
	h.Close(10 * time.Millisecond)
	if waited := time.Since(began); waited >= writeWithin {
		t.Errorf("Close took %v: it waited for the viewer's network to give up", waited)
	}
	deaf.SetReadDeadline(time.Now().Add(30 * time.Second))
	for {
		if _, _, err := deaf.ReadMessage(); err != nil {
			if e, ok := err.(net.Error); ok && e.Timeout() {
				t.Error("the connection was not cut")
			}
			return
		}
	}
}

// The last viewer of a subscription takes its goroutine and its encoding along.
func TestGroupEndsWithItsLastViewer(t *testing.T) {
	h := newTestHub(t)
	a, b := h.dial(t, "rate=7"), h.dial(t, "rate=7")
	h.dial(t, "rate=8")
	a.Close()
	b.Close()
	await(t, "two to leave", func() bool { return h.Viewers() == 1 })
	h.mu.Lock()
	defer h.mu.Unlock()
	if len(h.byKey) != 1 || len(*h.groups.Load()) != 1 {
		t.Errorf("%d groups, %d shown to the bench, want 1", len(h.byKey), len(*h.groups.Load()))
	}
}

func TestBadClients(t *testing.T) {
	h := newTestHub(t)
	for _, c := range []struct {
		name string
		typ  int
		text string
		code int
	}{
		{"not JSON", websocket.TextMessage, "ack 12", websocket.CloseInvalidFramePayloadData},
		{"not an object", websocket.TextMessage, "[12]", websocket.CloseInvalidFramePayloadData},
		{"not UTF-8", websocket.TextMessage, "{\"a\":\"\xff\"}", websocket.CloseInvalidFramePayloadData},
		{"binary", websocket.BinaryMessage, `{"type":"ack","seq":1}`, websocket.CloseUnsupportedData},
		{"too long", websocket.TextMessage, `{"a":"` + strings.Repeat("x", maxInbound) + `"}`, websocket.CloseMessageTooBig},
	} {
		conn := h.dial(t, "")
		if err := conn.WriteMessage(c.typ, []byte(c.text)); err != nil {
			t.Fatal(err)
		}
		if code := closeCode(t, conn); code != c.code {
			t.Errorf("%s: close code %d, want %d", c.name, code, c.code)
		}
	}
	chatty := h.dial(t, "")
	for range inboundLimit + 1 {
		if chatty.WriteMessage(websocket.TextMessage, []byte(`{"type":"wave"}`)) != nil {
			break // it has been cut already
		}
	}
	if code := closeCode(t, chatty); code != websocket.ClosePolicyViolation {
		t.Errorf("too many messages: close code %d, want 1008", code)
	}
	if n := h.ignored.Load(); n != inboundLimit {
		t.Errorf("%d messages were ignored, want %d", n, inboundLimit)
	}
}

func TestAdmission(t *testing.T) {
	h := NewHub(Options{})
	request := httptest.NewRequest("GET", "/live", nil)
	request.RemoteAddr = "192.0.2.7:4000"
	host := remoteHost(request)
	for range maxPerAddress {
		if status, why := h.admit(host); status != 0 {
			t.Fatalf("%d %s", status, why)
		}
	}
	if status, _ := h.admit(host); status != http.StatusTooManyRequests {
		t.Errorf("one more from the same address: %d, want 429", status)
	}
	for i := range maxViewers - maxPerAddress {
		request.RemoteAddr = []string{"127.0.0.1:4000", "[::1]:4000"}[i%2]
		if status, why := h.admit(remoteHost(request)); status != 0 {
			t.Fatalf("from this machine: %d %s", status, why)
		}
	}
	if status, _ := h.admit(""); status != http.StatusServiceUnavailable {
		t.Errorf("one more than can be served: %d, want 503", status)
	}
	h.release(host)
	if status, why := h.admit(host); status != 0 {
		t.Errorf("after one has left: %d %s", status, why)
	}
}

func TestTooManySubscriptions(t *testing.T) {
	h := newTestHub(t)
	for i := range maxGroups {
		h.dial(t, fmt.Sprintf("rate=%d", i+1))
	}
	if code := closeCode(t, h.dialOnly(t, "rate=100")); code != websocket.CloseTryAgainLater {
		t.Errorf("close code %d, want 1013", code)
	}
	h.dial(t, "rate=1") // an equal one still fits
}

// A status goes out when something has changed, and else once a second.
func TestTell(t *testing.T) {
	h := newTestHub(t)
	c := h.dial(t, "")
	st := *h.options.Status()
	at := time.Now()
	h.Tell(&st, at)
	if m := readMessage(t, c); m.Viewers != 1 {
		t.Errorf("%d viewers told, want 1", m.Viewers)
	}
	sent := func(what string, st daq.Status, at time.Time, want bool) {
		t.Helper()
		h.mu.Lock()
		before := h.toldAt
		h.mu.Unlock()
		h.Tell(&st, at)
		h.mu.Lock()
		defer h.mu.Unlock()
		if got := h.toldAt != before; got != want {
			t.Errorf("%s: told %v, want %v", what, got, want)
		}
	}
	sent("nothing new", st, at.Add(999*time.Millisecond), false)
	rows := st
	rows.Run.Rows = 17
	sent("a count", rows, at.Add(999*time.Millisecond), false)
	link := st
	link.Link = daq.Silent
	sent("another link", link, at.Add(time.Millisecond), true)
	sent("a second later", link, at.Add(1001*time.Millisecond), true)
	trouble := link
	trouble.Run.Trouble = "disk full"
	sent("trouble with the run", trouble, at.Add(1002*time.Millisecond), true)
}

func TestAge(t *testing.T) {
	h := NewHub(Options{})
	if _, ok := h.Age(); ok {
		t.Error("an age before any frame")
	}
	h.Publish(testBatch(1, 0))
	if _, ok := h.Age(); ok {
		t.Error("an empty batch counts as a frame")
	}
	h.Publish(testBatch(1, 1))
	if age, ok := h.Age(); !ok || age < 0 || age > time.Minute {
		t.Errorf("age %v, %v", age, ok)
	}
}

// A viewer who was greeted with another setup is sent away to be greeted anew; one who
// comes after the change stays.
func TestANewSetupGreetsAnew(t *testing.T) {
	h := newTestHub(t)
	c := h.dial(t, "")
	anew := *h.options.Status()
	anew.Setup = &setup.Bench{Name: "Tamar, calibrated anew"}
	h.Tell(&anew, time.Now())
	if code := closeCode(t, c); code != websocket.CloseServiceRestart {
		t.Errorf("close code %d, want 1012", code)
	}
	*h.options.Status() = anew
	c = h.dial(t, "")
	h.Tell(&anew, time.Now().Add(2*time.Second))
	if m := readMessage(t, c); m.Type != "status" {
		t.Errorf("message %+v, want a status", m)
	}
}
