package webui

import (
	"bufio"
	"crypto/tls"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/gorilla/websocket"

	"joulewell/daq"
)

// Attacks, each played against a server that runs. Those by foreign pages (websocket,
// re-pointed names, changes) are in guard_test.go.

// Who guesses keys is slowed down more and more, by whatever way the guesses come; who
// sends none is not, nor is anyone at another address.
func TestKeyGuessing(t *testing.T) {
	s := newSite(t, beyondLoopback)
	now := time.Unix(1_000_000, 0)
	s.guard.tries.mu.Lock()
	s.guard.tries.now = func() time.Time { return now }
	s.guard.tries.mu.Unlock()
	guesses := []func(status int, key string) *http.Response{
		func(status int, key string) *http.Response {
			a, _ := s.want(t, status, "POST", "/api/key", fmt.Sprintf(`{"key":%q}`, key), asJSON...)
			return a
		},
		func(status int, key string) *http.Response {
			a, _ := s.want(t, status, "GET", "/key/"+strings.ReplaceAll(key, " ", "%20"), "")
			return a
		},
		func(status int, key string) *http.Response {
			a, _ := s.want(t, status, "POST", "/api/run/stop", "{}", append(asJSON, "Authorization", "Bearer "+key)...)
			return a
		},
		func(status int, key string) *http.Response {
			a, _ := s.want(t, status, "POST", "/api/run/stop", "{}", append(asJSON, "Cookie", s.guard.cookie+"="+strings.ReplaceAll(key, " ", "-"))...)
			return a
		},
	}
	for i := range freeTries + 1 {
		guesses[i%len(guesses)](http.StatusUnauthorized, fmt.Sprint("guess ", i))
	}
	for wait := firstWait; wait < 4*lastWait; wait *= 2 {
		wait := min(wait, lastWait)
		for i, guess := range guesses {
			answer := guess(http.StatusTooManyRequests, fmt.Sprint("guess again ", i))
			if after := answer.Header.Get("Retry-After"); after != fmt.Sprint(int(wait/time.Second)+1) {
				t.Errorf("while %v are to be waited, Retry-After is %s", wait, after)
			}
		}
		guesses[0](http.StatusTooManyRequests, "a key of the tests") // nor does the right one tell itself
		s.want(t, http.StatusUnauthorized, "POST", "/api/run/stop", "{}", asJSON...)
		s.want(t, http.StatusOK, "GET", "/api/status", "")
		now = now.Add(wait)
		guesses[0](http.StatusUnauthorized, "one more")
	}
	if len(s.bench.notes) != 0 {
		t.Errorf("a guesser began a run: %q", s.bench.notes)
	}
	now = now.Add(lastWait)
	guesses[0](http.StatusNoContent, "a key of the tests")
	for i := range freeTries + 1 {
		guesses[i%2](http.StatusUnauthorized, "a slip of the finger")
	}
	guesses[0](http.StatusTooManyRequests, "a key of the tests")
	now = now.Add(pardonIn + time.Second)
	for range freeTries {
		guesses[0](http.StatusUnauthorized, "after the pardon")
	}
	guesses[0](http.StatusNoContent, "a key of the tests")
}

// One machine is one guesser, whatever address of its network it takes; and the memory
// for guessers is bounded.
func TestGuessersAddresses(t *testing.T) {
	now := time.Unix(1_000_000, 0)
	g := newTries(func() time.Time { return now })
	try := func(from string) time.Duration {
		r := httptest.NewRequest("POST", "/api/key", nil)
		r.RemoteAddr = from
		_, wait := g.check(r, func() bool { return false })
		return wait
	}
	for i := range freeTries + 1 {
		try(fmt.Sprintf("[2001:db8::%x]:4000", i))
	}
	for from, slowed := range map[string]bool{
		"[2001:db8:0:0:ffff::1]:1": true, "[2001:db8:0:1::1]:1": false, "192.0.2.7:1": false,
	} {
		if wait := try(from); wait > 0 != slowed {
			t.Errorf("%s waits %v after guesses from 2001:db8::", from, wait)
		}
	}
	for i := range 2 * maxWatched {
		try(fmt.Sprintf("10.%d.%d.1:4000", i>>8, i&255))
	}
	if len(g.by) > maxWatched+1 {
		t.Errorf("%d addresses are kept, want at most %d", len(g.by), maxWatched+1)
	}
	if wait := try("198.51.100.1:4000"); wait == 0 {
		t.Error("addresses that are not told apart are not slowed down together")
	}
	now = now.Add(pardonIn + time.Second)
	if wait := try("198.51.100.1:4000"); wait != 0 || len(g.by) > 1 {
		t.Errorf("after the pardon: wait %v, %d addresses kept", wait, len(g.by))
	}
}

// The address for a telephone gives the key to the browser, and to it alone.
func TestKeyByAddress(t *testing.T) {
	s := newSite(t, beyondLoopback)
	answer, _ := s.do(t, "GET", "/key/a%20key%20of%20the%20tests", "")
	cookies := answer.Cookies()
	if answer.StatusCode != http.StatusSeeOther || answer.Header.Get("Location") != "/" || len(cookies) != 1 || answer.Header.Get("Cache-Control") != "no-store" {
		t.Fatalf("%s to %q with cookies %v", answer.Status, answer.Header.Get("Location"), cookies)
	}
	s.want(t, http.StatusCreated, "POST", "/api/run/start", "{}", append(asJSON, "Cookie", cookies[0].String())...)

	alone := newSite(t) // on this machine alone there is no key, and none is handed out
	if answer, _ := alone.do(t, "GET", "/key/anything", ""); answer.StatusCode != http.StatusSeeOther || len(answer.Cookies()) != 0 {
		t.Errorf("%s with cookies %v", answer.Status, answer.Cookies())
	}
}

// Names that lead out of the data folder are names of no run.
func TestPathEscape(t *testing.T) {
	s := newSite(t)
	for _, name := range []string{
		"..%2f..%2fetc%2fpasswd", "%2e%2e%2fbench.toml", "..%5c..%5cbench.toml", "%2fetc%2fpasswd", "2026-11-25T184210Z-tamar%00.csv",
		"2026-11-25T184210Z-tamar%2f..%2f..%2fx", "%c0%ae%c0%ae%2fx", ".joulewell-trial", "2026-11-25T184210Z-tamar.csv.part",
	} {
		for _, path := range []string{"/api/runs/" + name, "/api/runs/" + name + "/metadata", "/api/runs/" + name + ".csv-metadata.json"} {
			s.want(t, http.StatusNotFound, "GET", path, "")
		}
		if answer, _ := s.do(t, "GET", "/assets/"+name, ""); answer.StatusCode != http.StatusNotFound {
			t.Errorf("/assets/%s: %s", name, answer.Status)
		}
	}
	for _, raw := range []string{"/api/runs/../../etc/passwd", "/assets/../guard.go"} {
		c, err := net.Dial("tcp", s.host)
		if err != nil {
			t.Fatal(err)
		}
		fmt.Fprintf(c, "GET %s HTTP/1.1\r\nHost: %s\r\nConnection: close\r\n\r\n", raw, s.host)
		answer, err := http.ReadResponse(bufio.NewReader(c), nil)
		if err != nil {
			t.Fatal(err)
		}
		// A path with dots in it is answered by the one without, which is another.
		if body, _ := io.ReadAll(answer.Body); answer.StatusCode == http.StatusOK || strings.Contains(string(body), "package") || strings.Contains(string(body), "root:") {
			t.Errorf("%s: %s: %s", raw, answer.Status, head(string(body)))
		}
		c.Close()
	}
}

// flood is how many connections an attacker opens, fewer where the machine allows no
// more: the attacker's ends are descriptors of this program, too.
func flood(t *testing.T) int {
	var limit syscall.Rlimit
	if err := syscall.Getrlimit(syscall.RLIMIT_NOFILE, &limit); err != nil {
		t.Fatal(err)
	}
	n := min(10_000, int(limit.Cur)-2*maxConnections-200)
	if n < 2*maxConnections {
		t.Skipf("only %d descriptors are allowed here", limit.Cur)
	}
	return n
}

// Ten thousand connections at once change nothing for those who are there already, and
// when they are gone there is room again.
func TestFloodOfConnections(t *testing.T) {
	n := flood(t)
	s := newSite(t)
	viewer := joinLive(t, s, "rate=all&channels=height_m")
	s.want(t, http.StatusOK, "GET", "/api/status", "") // holds a connection

	held := make([]net.Conn, 0, n)
	dialer := net.Dialer{Timeout: 10 * time.Second}
	for range n {
		c, err := dialer.Dial("tcp", s.host)
		if err != nil {
			t.Fatalf("connection %d: %v", len(held), err)
		}
		held = append(held, c)
	}
	closed := 0
	for _, c := range held[maxConnections:] { // in order of arrival: what is past the limit has been closed
		c.SetReadDeadline(time.Now().Add(5 * time.Second))
		if _, err := c.Read(make([]byte, 1)); err != nil && !isTimeout(err) {
			closed++
		}
	}
	if want := n - maxConnections; closed != want {
		t.Errorf("%d of %d connections were closed, want %d", closed, n, want)
	}
	s.want(t, http.StatusOK, "GET", "/api/status", "")
	s.bench.publish(daq.Batch{Newest: 77, Frames: s.bench.frames()})
	viewer.SetReadDeadline(time.Now().Add(30 * time.Second))
	for {
		_, text, err := viewer.ReadMessage()
		if err != nil {
			t.Fatalf("the viewer who was there before: %v", err)
		}
		if strings.Contains(string(text), `"seq":77`) {
			break
		}
	}
	t.Logf("%d connections were played", n)
	for _, c := range held {
		c.Close()
	}
	for limit := time.Now().Add(30 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		c, _, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/live", nil)
		if err == nil {
			c.Close()
			return
		}
		if time.Now().After(limit) {
			t.Fatalf("no viewer gets in after the flood: %v", err)
		}
	}
}

func isTimeout(err error) bool {
	e, ok := err.(net.Error)
	return ok && e.Timeout()
}

// from is a connection from a certain address.
type from struct {
	net.Conn
	remote string
	closed bool
}

func (f *from) RemoteAddr() net.Addr {
	a, _ := net.ResolveTCPAddr("tcp", f.remote)
	return a
}

func (f *from) Close() error { f.closed = true; return nil }

// One machine beyond this one takes a part of the room only, and gives back what it
// took, whether it leaves or becomes a viewer.
func TestCrowdFromOneAddress(t *testing.T) {
	c := newCrowd()
	come := func(remote string) *from {
		f := &from{remote: remote}
		c.note(f, http.StateNew)
		return f
	}
	var all []*from
	for i := range maxConnectionsAddress + 1 {
		all = append(all, come(fmt.Sprintf("192.0.2.7:%d", 4000+i)))
	}
	last := all[maxConnectionsAddress]
	if !last.closed || all[maxConnectionsAddress-1].closed {
		t.Fatal("the limit of one address is not kept")
	}
	c.note(last, http.StateClosed)
	if other := come("192.0.2.8:4000"); other.closed {
		t.Error("another address is refused")
	}
	for i := range 2 * maxConnectionsAddress {
		if f := come(fmt.Sprintf("127.0.0.1:%d", 4000+i)); f.closed {
			t.Fatal("this machine is refused")
		}
	}
	c.note(all[0], http.StateHijacked)
	c.note(all[1], http.StateClosed)
	c.note(all[1], http.StateClosed)
	if come("192.0.2.7:1").closed || come("192.0.2.7:2").closed {
		t.Error("places that were given back are not free")
	}
	if !come("192.0.2.7:3").closed {
		t.Error("a place was given back twice")
	}
}

// selfSigned is a certificate for 127.0.0.1, made for these tests by net/http/httptest.
func selfSigned(t *testing.T) (tls.Certificate, *http.Transport) {
	borrowed := httptest.NewTLSServer(http.NotFoundHandler())
	t.Cleanup(borrowed.Close)
	return borrowed.TLS.Certificates[0], borrowed.Client().Transport.(*http.Transport)
}

// Over an encrypted line the same rules hold, and nothing is handed out for the other.
func TestEncryptedLine(t *testing.T) {
	certificate, trusting := selfSigned(t)
	s := newSite(t, func(o *Options, l *net.Listener) {
		beyondLoopback(o, l)
		o.Secure = true
		*l = tls.NewListener(*l, &tls.Config{Certificates: []tls.Certificate{certificate}, NextProtos: []string{"http/1.1"}})
	})
	client := &http.Client{Transport: trusting, CheckRedirect: s.client.CheckRedirect}
	get := func(path, host string) *http.Response {
		r, err := http.NewRequest("GET", "https://"+s.host+path, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Host = host
		answer, err := client.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		return answer
	}
	answer := get("/key/a%20key%20of%20the%20tests", s.host)
	if c := answer.Cookies(); len(c) != 1 || !c[0].Secure {
		t.Errorf("cookies %v: want one for encrypted lines only", c)
	}
	if policy := answer.Header.Get("Content-Security-Policy"); !strings.HasSuffix(policy, " wss://"+s.host) {
		t.Errorf("policy %s", policy)
	}
	if answer := get("/healthz", "rebound.example"); answer.StatusCode != http.StatusMisdirectedRequest {
		t.Errorf("foreign host: %s", answer.Status)
	}
	dialer := websocket.Dialer{TLSClientConfig: trusting.TLSClientConfig}
	for origin, status := range map[string]int{"https://" + s.host: 101, "http://" + s.host: 403, "https://page.example": 403} {
		c, answer, err := dialer.Dial("wss://"+s.host+"/live", http.Header{"Origin": {origin}})
		if err == nil {
			c.Close()
		}
		if answer == nil || answer.StatusCode != status {
			t.Errorf("page of %s: %v %v, want %d", origin, answer, err, status)
		}
	}
	if answer, _ := s.do(t, "GET", "/healthz", ""); answer.StatusCode != http.StatusBadRequest {
		t.Errorf("unencrypted request: %s, want 400", answer.Status)
	}
	trusting.CloseIdleConnections()
}

// A port of 443 goes without saying on an encrypted line, 80 on the other.
func TestPort443(t *testing.T) {
	g, err := newGuard(&Options{Secure: true}, &net.TCPAddr{IP: net.IPv4zero, Port: 443})
	if err != nil {
		t.Fatal(err)
	}
	r := httptest.NewRequest("GET", "/", nil)
	for host, want := range map[string]bool{"localhost": true, "localhost:443": true, "localhost:80": false} {
		if got := g.means(host, r); got != want {
			t.Errorf("%s is ours: %v, want %v", host, got, want)
		}
	}
}
