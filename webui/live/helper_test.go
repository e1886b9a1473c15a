package live

import (
	"encoding/json"
	"log/slog"
	"math"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
	"go.uber.org/goleak"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// testFrame is the i-th frame of an invented motion: every quantity differs, and the
// force is absent in every third.
func testFrame(i int) frame.Frame {
	x := float64(i)
	e := func(v float64) energy.Estimate { return energy.Estimate{Value: v, U: v / 100} }
	f := frame.Frame{
		T: int64(i) * 1_000_003, Epoch: 1,
		Distance: e(0.4 + x/1e4), Force: e(2 + x/1e3), Height: e(0.41 + x/1e4),
		Extension: e(0.1 - x/1e4), Velocity: e(-x / 1e3),
		Energies: energy.Energies{Kinetic: e(x / 1e5), Elastic: e(0.1), Gravitational: e(1), Total: e(1.1 + x/1e5)},
	}
	if i%3 == 2 {
		f.Force = energy.None()
	}
	return f
}

// testBatch is a batch of n frames from the i-th on.
func testBatch(i, n int) daq.Batch {
	b := daq.Batch{Newest: uint32(i + n)}
	for k := range n {
		b.Frames = append(b.Frames, testFrame(i+k))
	}
	return b
}

// received is any message to a viewer, as a stranger would decode it.
type received struct {
	V       int       `json:"v"`
	Type    string    `json:"type"`
	Session string    `json:"session"`
	Lost    uint64    `json:"lost"`
	Seq     uint32    `json:"seq"`
	N       uint64    `json:"n"`
	T       []float64 `json:"t_s"`
	Link    string    `json:"link"`
	Viewers int       `json:"viewers"`
}

func decodeMessage(t testing.TB, data []byte) received {
	t.Helper()
	var m received
	if err := json.Unmarshal(data, &m); err != nil {
		t.Fatalf("decode %s: %v", data, err)
	}
	if m.V != 1 {
		t.Fatalf("version %d in %s", m.V, data)
	}
	return m
}

// testHub serves a hub on a port of its own; everything ends with the test, and no
// goroutine may be left.
type testHub struct {
	*Hub
	url string
}

func newTestHub(t testing.TB) *testHub {
	t.Helper()
	leaks := goleak.IgnoreCurrent()
	t.Cleanup(func() { goleak.VerifyNone(t, leaks) })
	status := &daq.Status{Bench: "Tamar", Source: "virtual bench", Virtual: true, Link: daq.Live, Lag: 40 * time.Millisecond, Setup: &setup.Bench{}}
	h := NewHub(Options{
		Session: "test session",
		Status:  func() *daq.Status { return status },
		Allowed: func(*http.Request) bool { return true },
		Refuse:  func(w http.ResponseWriter, status int, why string) { http.Error(w, why, status) },
		Log:     slog.New(slog.DiscardHandler),
	})
	server := httptest.NewServer(http.HandlerFunc(h.Serve))
	t.Cleanup(func() {
		h.Close(time.Second)
		server.Close()
	})
	return &testHub{h, "ws" + strings.TrimPrefix(server.URL, "http")}
}

// dial connects a viewer and reads its hello and first status: it has joined then.
func (h *testHub) dial(t testing.TB, query string) *websocket.Conn {
	t.Helper()
	c := h.dialOnly(t, query)
	if m := readMessage(t, c); m.Type != "hello" || m.Session != "test session" {
		t.Fatalf("first message is %+v, want hello", m)
	}
	if m := readMessage(t, c); m.Type != "status" || m.Link != "live" {
		t.Fatalf("second message is %+v, want status", m)
	}
	return c
}

func (h *testHub) dialOnly(t testing.TB, query string) *websocket.Conn {
	t.Helper()
	c, answer, err := websocket.DefaultDialer.Dial(h.url+"/live?"+query, nil)
	if err != nil {
		t.Fatalf("dial: %v (%v)", err, answer)
	}
	t.Cleanup(func() { c.Close() })
	return c
}

// readMessage waits at most half a minute: only a broken hub lets it.
func readMessage(t testing.TB, c *websocket.Conn) received {
	t.Helper()
	c.SetReadDeadline(time.Now().Add(30 * time.Second))
	_, data, err := c.ReadMessage()
	if err != nil {
		t.Fatalf("read a message: %v", err)
	}
	return decodeMessage(t, data)
}

// readUntil reads frames messages until the one whose newest reading is seq, and
// returns how many readings came and how many were lost.
func readUntil(t testing.TB, c *websocket.Conn, seq uint32) (got, lost uint64) {
	t.Helper()
	for {
		m := readMessage(t, c)
		if m.Type != "frames" {
			continue
		}
		if int(m.N) != len(m.T) {
			t.Fatalf("n = %d with %d times", m.N, len(m.T))
		}
		got += m.N
		lost += m.Lost
		if m.Seq == seq {
			return got, lost
		}
	}
}

// closeCode reads until the connection ends and returns the code it ends with.
func closeCode(t testing.TB, c *websocket.Conn) int {
	t.Helper()
	c.SetReadDeadline(time.Now().Add(30 * time.Second))
	for {
		_, _, err := c.ReadMessage()
		if e, ok := err.(*websocket.CloseError); ok {
			return e.Code
		}
		if err != nil {
			t.Fatalf("the connection ended without a close code: %v", err)
		}
	}
}

func near(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// await polls for what nothing announces; the deadline is for a broken hub only.
func await(t testing.TB, what string, done func() bool) {
	t.Helper()
	for deadline := time.Now().Add(30 * time.Second); !done(); time.Sleep(time.Millisecond) {
		if time.Now().After(deadline) {
			t.Fatalf("waited in vain for %s", what)
		}
	}
}
