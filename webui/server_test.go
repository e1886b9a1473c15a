package webui

import (
	"context"
	"crypto/tls"
	"io"
	"log"
	"net"
	"net/http"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"joulewell/daq"
)

// Frames go from the bench's goroutine to a viewer.
func TestLive(t *testing.T) {
	s := newSite(t, func(o *Options, _ *net.Listener) {
		o.Well = func() (h, p []float64) { return []float64{0.1, 0.2}, []float64{2.5, 2.25} }
	})
	c := dialLive(t, s, "rate=all&channels=height_m")
	next := func(typ string) map[string]any {
		t.Helper()
		for {
			var m map[string]any
			if err := c.ReadJSON(&m); err != nil {
				t.Fatal(err)
			}
			if m["type"] == typ {
				return m
			}
		}
	}
	hello := next("hello")
	well := hello["well"].(map[string]any)["potential_J"].([]any)
	if hello["bench"] != "Tamar" || hello["rate"] != "all" || hello["session"] != s.session || hello["lag_s"] != 0.04 || len(well) != 2 || well[1] != 2.25 {
		t.Errorf("hello %v", hello)
	}
	next("status")
	s.bench.publish(daq.Batch{Newest: 77, Frames: append(s.bench.frames(), s.bench.frames()...)})
	if m := next("frames"); m["n"] != 2.0 || m["seq"] != 77.0 || m["height_m"].([]any)[1] != 0.45 {
		t.Errorf("frames %v", m)
	}
	s.bench.set(func(st *daq.Status) { st.Link, st.LinkDetail, st.Fresh = daq.Waiting, "the device went away", false })
	for m := next("status"); m["link"] != "waiting"; m = next("status") {
	}
}

// A bad query is a problem in words, before anything is upgraded.
func TestLiveRefusals(t *testing.T) {
	s := newSite(t)
	for _, query := range []string{"rate=0", "rate=fast", "channels=speed", "ack=1", "other=1"} {
		s.want(t, http.StatusBadRequest, "GET", "/live?"+query, "")
	}
	s.want(t, http.StatusBadRequest, "GET", "/live", "") // no websocket handshake
}

// A header that does not come to its end is cut off, and so is a handshake of an encrypted
// line.
func TestSlowHeader(t *testing.T) {
	shortened := newServer(http.NotFoundHandler(), log.New(io.Discard, "", 0))
	if shortened.ReadHeaderTimeout != headerWithin || shortened.IdleTimeout != idleFor || shortened.MaxHeaderBytes != maxHeader {
		t.Errorf("limits %v, %v, %d", shortened.ReadHeaderTimeout, shortened.IdleTimeout, shortened.MaxHeaderBytes)
	}
	shortened.ReadHeaderTimeout = 20 * time.Millisecond
	certificate, _ := selfSigned(t)
	defer shortened.Close()
	for _, encrypted := range []bool{false, true} {
		l, err := net.Listen("tcp", "127.0.0.1:0")
		if err != nil {
			t.Fatal(err)
		}
		address := l.Addr().String()
		if encrypted {
			l = tls.NewListener(l, &tls.Config{Certificates: []tls.Certificate{certificate}})
		}
		go shortened.Serve(l)
		c, err := net.Dial("tcp", address)
		if err != nil {
			t.Fatal(err)
		}
		defer c.Close()
		begin := "GET / HTTP/1.1\r\nHost: lo"
		if encrypted {
			begin = "\x16\x03\x01" // a record of the handshake, of which nothing more comes
		}
		io.WriteString(c, begin)
		c.SetReadDeadline(time.Now().Add(30 * time.Second))
		if _, err := io.ReadAll(c); err != nil && isTimeout(err) {
			t.Errorf("encrypted %t: the connection was not cut: %v", encrypted, err)
		}
	}
}

// When its context ends, Serve says goodbye to viewers and closes the port. (newSite
// checks that no goroutine is left.)
func TestShutdown(t *testing.T) {
	s := newSite(t)
	s.grace = time.Minute // nothing needs to be cut
	viewer := joinLive(t, s, "channels=height_m")
	ended := make(chan error, 1)
	go func() { ended <- s.stop() }()
	viewer.SetReadDeadline(time.Now().Add(30 * time.Second))
	var err error
	for err == nil {
		_, _, err = viewer.ReadMessage()
	}
	if !websocket.IsCloseError(err, websocket.CloseGoingAway) {
		t.Errorf("the viewer's connection ends with %v, want 1001", err)
	}
	if err := <-ended; err != nil {
		t.Errorf("Serve returns %v", err)
	}
	if _, err := net.Dial("tcp", s.host); err == nil {
		t.Error("the port is still open")
	}
}

// A viewer who takes nothing and a request that never ends are cut.
func TestShutdownCuts(t *testing.T) {
	s := newSite(t)
	s.grace = 10 * time.Millisecond
	joinLive(t, s, "rate=all")
	half, err := net.Dial("tcp", s.host)
	if err != nil {
		t.Fatal(err)
	}
	defer half.Close()
	io.WriteString(half, "POST /api/run/start HTTP/1.1\r\nHost: "+s.host+"\r\nContent-Type: application/json\r\nContent-Length: 10\r\n\r\n{")
	for i := range 20_000 {
		s.bench.publish(daq.Batch{Newest: uint32(i), Frames: s.bench.frames()})
	}
	if err := s.stop(); err != nil {
		t.Errorf("Serve returns %v", err)
	}
}

func dialLive(t *testing.T, s *site, query string) *websocket.Conn {
	t.Helper()
	c, _, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/live?"+query, nil)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { c.Close() })
	c.SetReadDeadline(time.Now().Add(30 * time.Second))
	return c
}

// joinLive connects a viewer and waits until it has joined.
func joinLive(t *testing.T, s *site, query string) *websocket.Conn {
	t.Helper()
	c := dialLive(t, s, query)
	if _, _, err := c.ReadMessage(); err != nil { // hello
		t.Fatal(err)
	}
	return c
}

func TestServeRefusesWhatItCannotKnow(t *testing.T) {
	s, err := New(Options{Bench: newFakeBench()})
	if err != nil {
		t.Fatal(err)
	}
	l, err := net.Listen("unix", t.TempDir()+"/socket")
	if err != nil {
		t.Skipf("no Unix sockets here: %v", err)
	}
	if err := s.Serve(context.Background(), l); err == nil {
		t.Error("a Unix socket is served on though no Host can be checked there")
	}
}
