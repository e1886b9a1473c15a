package webui

import (
	"bufio"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/gorilla/websocket"
)

func port(s *site) string { return s.host[strings.LastIndexByte(s.host, ':')+1:] }

// A page whose name has been re-pointed to our address gets nothing from any route.
func TestForeignHost(t *testing.T) {
	s := newSite(t)
	paths := []string{"/nowhere", "/api/nowhere"}
	for _, r := range s.routes() {
		paths = append(paths, r.example())
	}
	for _, host := range []string{
		"rebound.example", "rebound.example:" + port(s), "127.0.0.1", "127.0.0.1:1", "127.0.0.1." + ":" + port(s),
		"localhost.rebound.example:" + port(s), "127.0.0.1:" + port(s) + ".rebound.example", "0.0.0.0:" + port(s), "192.0.2.7:" + port(s),
	} {
		for _, path := range paths {
			s.want(t, http.StatusMisdirectedRequest, "GET", path, "", "Host", host)
			s.want(t, http.StatusMisdirectedRequest, "POST", path, "{}", "Host", host, "Content-Type", "application/json")
		}
	}
}

// HTTP/1.0 needs no Host, and a request line may name a host of its own.
func TestHostByOtherWays(t *testing.T) {
	s := newSite(t)
	for _, request := range []string{
		"GET /healthz HTTP/1.0\r\n\r\n",
		"GET http://rebound.example/healthz HTTP/1.1\r\nHost: " + s.host + "\r\n\r\n",
	} {
		c, err := net.Dial("tcp", s.host)
		if err != nil {
			t.Fatal(err)
		}
		io.WriteString(c, request)
		line, _ := bufio.NewReader(c).ReadString('\n')
		c.Close()
		if !strings.Contains(line, " 421 ") {
			t.Errorf("%q is answered by %q, want 421", request, line)
		}
	}
}

func TestOwnHosts(t *testing.T) {
	s := newSite(t, func(o *Options, _ *net.Listener) {
		o.ExtraHosts = []string{"tamar.lab.example", "proxy.example:8443", "[2001:db8::7]"}
		_, p, _ := net.SplitHostPort(o.Listen)
		o.Listen = "bench-pc:" + p
	})
	p := port(s)
	for _, host := range []string{
		"127.0.0.1:" + p, "localhost:" + p, "LOCALHOST:" + p, "[::1]:" + p, "bench-pc:" + p,
		"tamar.lab.example:" + p, "tamar.lab.example", "proxy.example:8443", "[2001:db8::7]:" + p,
	} {
		answer, _ := s.want(t, http.StatusOK, "GET", "/healthz", "", "Host", host)
		if policy := answer.Header.Get("Content-Security-Policy"); !strings.HasSuffix(policy, "connect-src 'self' ws://"+host) {
			t.Errorf("%s: policy %s", host, policy)
		}
	}
	s.want(t, http.StatusMisdirectedRequest, "GET", "/healthz", "", "Host", "proxy.example:"+p)
}

// The address at which a connection arrives is ours though nobody listed it, and port
// 80 may be left out, as browsers do.
func TestArrivalAddressAndPort80(t *testing.T) {
	for _, port := range []int{80, 8033} {
		g, err := newGuard(&Options{}, &net.TCPAddr{IP: net.IPv4zero, Port: port})
		if err != nil {
			t.Fatal(err)
		}
		arrival := &net.TCPAddr{IP: net.IPv4(192, 0, 2, 7), Port: port}
		r, _ := http.NewRequestWithContext(context.WithValue(t.Context(), http.LocalAddrContextKey, arrival), "GET", "/", nil)
		for host, want := range map[string]bool{
			"localhost": port == 80, "[::1]": port == 80, "192.0.2.7": port == 80,
			"localhost:80": port == 80, "192.0.2.7:80": port == 80, "192.0.2.7:8033": port == 8033, "[::1]:8033": port == 8033,
			"192.0.2.8": false, "192.0.2.8:80": false, "localhost:8": false, "0.0.0.0:8033": false,
		} {
			if got := g.means(host, r); got != want {
				t.Errorf("port %d: %s is ours: %v, want %v", port, host, got, want)
			}
		}
	}
}

func TestWebsocketOrigin(t *testing.T) {
	s := newSite(t)
	for _, c := range []struct {
		name    string
		headers []string
		status  int
	}{
		{"own page", []string{"Origin", "http://" + s.host, "Sec-Fetch-Site", "same-origin"}, 101},
		{"own page by name", []string{"Origin", "http://localhost:" + port(s)}, 101},
		{"no browser", nil, 101},
		{"foreign page", []string{"Origin", "http://page.example", "Sec-Fetch-Site", "cross-site"}, 403},
		{"page of another local port", []string{"Origin", "http://localhost:1", "Sec-Fetch-Site", "same-site"}, 403},
		{"foreign page that names us in its name", []string{"Origin", "http://" + s.host + ".page.example"}, 403},
		{"page without origin", []string{"Origin", "null", "Sec-Fetch-Site", "cross-site"}, 403},
		{"browser that hides its origin", []string{"Sec-Fetch-Site", "cross-site"}, 403},
		{"file", []string{"Origin", "file://"}, 403},
		{"another scheme", []string{"Origin", "chrome-extension://" + s.host}, 403},
		{"two origins", []string{"Origin", "http://" + s.host, "Origin", "http://page.example"}, 403},
	} {
		h := http.Header{}
		for i := 0; i < len(c.headers); i += 2 {
			h.Add(c.headers[i], c.headers[i+1])
		}
		conn, answer, err := websocket.DefaultDialer.Dial("ws://"+s.host+"/live", h)
		if err == nil {
			conn.Close()
		}
		if answer == nil || answer.StatusCode != c.status {
			t.Errorf("%s: %v %v, want %d", c.name, answer, err, c.status)
		}
	}
}

func TestChangesFromOtherOrigins(t *testing.T) {
	s := newSite(t)
	for _, r := range s.routes() {
		if r.method == "GET" {
			continue
		}
		for _, headers := range [][]string{
			{"Origin", "http://page.example", "Sec-Fetch-Site", "cross-site"},
			{"Origin", "http://page.example"},
			{"Origin", "null"},
			{"Origin", "http://localhost:1", "Sec-Fetch-Site", "same-site"},
			{"Sec-Fetch-Site", "cross-site"},
			{"Sec-Fetch-Site", "same-origin"},
			{"Origin", "http://" + s.host, "Sec-Fetch-Site", "cross-site"}, // contradicts itself
		} {
			s.want(t, http.StatusForbidden, r.method, r.example(), "{}", append(headers, asJSON...)...)
		}
		for _, typ := range []string{"", "text/plain", "application/x-www-form-urlencoded", "multipart/form-data", "application/jsonx"} {
			s.want(t, http.StatusUnsupportedMediaType, r.method, r.example(), "{}", "Content-Type", typ)
		}
	}
	if len(s.bench.notes) != 0 {
		t.Errorf("a run was begun all the same: %q", s.bench.notes)
	}
	s.want(t, http.StatusCreated, "POST", "/api/run/start", "{}", append(asJSON, "Origin", "http://"+s.host, "Sec-Fetch-Site", "same-origin")...)
}

// patient makes every request to s come long after the one before, as far as the
// slowing down of wrong keys goes.
func (s *site) patient() {
	s.guard.tries.mu.Lock()
	defer s.guard.tries.mu.Unlock()
	now := time.Unix(0, 0)
	s.guard.tries.now = func() time.Time { now = now.Add(lastWait); return now }
}

func TestBenchKey(t *testing.T) {
	s := newSite(t, beyondLoopback)
	s.patient()
	if s.Key() != "a key of the tests" {
		t.Errorf("key %q", s.Key())
	}
	for _, r := range s.routes() {
		if !r.key {
			continue
		}
		for _, headers := range [][]string{
			nil,
			{"Authorization", "Bearer "},
			{"Authorization", "Bearer a key of the test"},
			{"Authorization", "Basic a key of the tests"},
			{"Cookie", "joulewell_key_" + port(s) + "=wrong"},
			{"Cookie", "joulewell_key_1=\"a key of the tests\""},
		} {
			answer, _ := s.want(t, http.StatusUnauthorized, r.method, r.example(), "{}", append(headers, asJSON...)...)
			if answer.Header.Get("WWW-Authenticate") == "" {
				t.Errorf("%s: 401 without WWW-Authenticate", r.path)
			}
		}
	}
	s.want(t, http.StatusCreated, "POST", "/api/run/start", "{}", append(asJSON, "Authorization", "Bearer a key of the tests")...)

	s.want(t, http.StatusUnauthorized, "POST", "/api/key", `{"key":"a guess"}`, asJSON...)
	answer, _ := s.want(t, http.StatusNoContent, "POST", "/api/key", `{"key":"a key of the tests"}`, asJSON...)
	cookies := answer.Cookies()
	if len(cookies) != 1 || !cookies[0].HttpOnly || cookies[0].SameSite != http.SameSiteStrictMode {
		t.Fatalf("cookies %v: want one that scripts and other sites cannot use", cookies)
	}
	s.want(t, http.StatusCreated, "POST", "/api/run/start", "{}", append(asJSON, "Cookie", cookies[0].String())...)
	s.want(t, http.StatusOK, "GET", "/api/status", "") // viewing needs no key
}

func TestKeyChoice(t *testing.T) {
	bench := newFakeBench()
	if _, err := New(Options{Bench: bench, Key: "short"}); err == nil {
		t.Error("a key of five characters is accepted")
	}
	seen := map[string]bool{}
	for _, listen := range []string{"0.0.0.0:8033", "[::]:8033", "192.0.2.7:8033", ":8033", "bench-pc:8033"} {
		s, err := New(Options{Bench: bench, Listen: listen})
		if err != nil {
			t.Fatal(err)
		}
		if k := s.Key(); len(k) < 26 || seen[k] {
			t.Errorf("%s: key %q", listen, k)
		}
		seen[s.Key()] = true
	}
	for _, listen := range []string{"127.0.0.1:8033", "[::1]:8033", "localhost:8033"} {
		s, err := New(Options{Bench: bench, Listen: listen})
		if err != nil {
			t.Fatal(err)
		}
		if k := s.Key(); k != "" {
			t.Errorf("%s: key %q, none is needed", listen, k)
		}
	}
}

func TestHeadersOnEveryRoute(t *testing.T) {
	s := newSite(t)
	for _, r := range append(s.routes(), route{path: "/nowhere"}) {
		answer, _ := s.do(t, "GET", r.example(), "")
		for name, want := range map[string]string{
			"X-Content-Type-Options":       "nosniff",
			"Referrer-Policy":              "no-referrer",
			"Cross-Origin-Opener-Policy":   "same-origin",
			"Cross-Origin-Embedder-Policy": "require-corp",
			"Cross-Origin-Resource-Policy": "same-origin",
		} {
			if got := answer.Header.Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", r.path, name, got, want)
			}
		}
		policy := answer.Header.Get("Content-Security-Policy")
		if !strings.HasPrefix(policy, "default-src 'none'; ") || strings.Contains(policy, "unsafe") || answer.Header.Get("Access-Control-Allow-Origin") != "" {
			t.Errorf("%s: policy %q", r.path, policy)
		}
	}
}

func TestLimits(t *testing.T) {
	s := newSite(t)
	large := fmt.Sprintf(`{"note":%q}`, strings.Repeat("x", maxBody))
	s.want(t, http.StatusRequestEntityTooLarge, "POST", "/api/run/start", large, asJSON...)
	s.want(t, http.StatusRequestEntityTooLarge, "POST", "/api/run/start", strings.Repeat(" ", maxBody)+"{}", asJSON...)
	answer, _ := s.do(t, "GET", "/healthz", "", "X-Long", strings.Repeat("x", 2*maxHeader))
	if answer.StatusCode != http.StatusRequestHeaderFieldsTooLarge {
		t.Errorf("a long header is answered by %d, want 431", answer.StatusCode)
	}
}

// deadlines is a response that notes the deadlines set for it.
type deadlines struct {
	http.ResponseWriter
	read, write time.Time
}

func (d *deadlines) SetReadDeadline(t time.Time) error  { d.read = t; return nil }
func (d *deadlines) SetWriteDeadline(t time.Time) error { d.write = t; return nil }

// Every answer has a deadline, a body has one too, and each piece of a download moves
// its own on.
func TestDeadlines(t *testing.T) {
	before := time.Now()
	var d deadlines
	limit(&d, httptest.NewRequest("GET", "/", nil))
	if d.write.Sub(before) < requestWithin || !d.read.IsZero() {
		t.Errorf("a request without body: write deadline %v, read deadline %v", d.write, d.read)
	}
	limit(&d, httptest.NewRequest("POST", "/", strings.NewReader("{}")))
	if d.read.Sub(before) < requestWithin {
		t.Errorf("a request with body: read deadline %v", d.read)
	}
	download := &steady{strings.NewReader("time_s"), http.NewResponseController(&d)}
	if _, err := download.Read(make([]byte, 1)); err != nil || d.write.Sub(before) < stallWithin {
		t.Errorf("a download: write deadline %v, %v", d.write, err)
	}
}

func TestMethodsAndUnknownPaths(t *testing.T) {
	s := newSite(t)
	methods := map[string][]string{}
	for _, r := range s.routes() {
		methods[r.path] = append(methods[r.path], r.method)
	}
	for _, r := range s.routes() {
		allowed := methods[r.path]
		if allowed[0] == "GET" {
			allowed = append(slices.Clone(allowed), "HEAD")
		}
		for _, method := range []string{"GET", "POST", "DELETE", "PUT"} {
			if slices.Contains(allowed, method) {
				continue
			}
			answer, _ := s.want(t, http.StatusMethodNotAllowed, method, r.example(), "{}", asJSON...)
			if got, allow := answer.Header.Get("Allow"), strings.Join(allowed, ", "); got != allow {
				t.Errorf("%s %s: Allow %q, want %q", method, r.path, got, allow)
			}
		}
	}
	s.want(t, http.StatusNotFound, "GET", "/api/nowhere", "")
	for _, path := range []string{"/nowhere", "/assets/nowhere.js", "/assets/", "/assets/..%2fguard.go"} {
		if answer, body := s.do(t, "GET", path, ""); answer.StatusCode != http.StatusNotFound || strings.Contains(string(body), "package") {
			t.Errorf("%s: %d, want 404", path, answer.StatusCode)
		}
	}
}
