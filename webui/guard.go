package webui

import (
	"fmt"
	"mime"
	"net"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// guard stands before every route. A browser that has been lured to a hostile page
// lets that page send requests to us, and even, when the page's name is re-pointed to
// our address, read the answers; only the names in Host and Origin give it away.
type guard struct {
	hosts  map[string]bool // Host headers that mean us, lower case
	beyond bool            // other machines can reach us
	key    string
	cookie string // name of the cookie that carries the key
	secure bool   // the line is encrypted
	tries  *tries
	cross  *http.CrossOriginProtection
}

// newGuard returns the guard for a server that listens on addr.
func newGuard(o *Options, addr net.Addr) (*guard, error) {
	tcp, ok := addr.(*net.TCPAddr)
	if !ok {
		return nil, fmt.Errorf("serve on %s: only TCP addresses can be served on", addr)
	}
	port := strconv.Itoa(tcp.Port)
	g := &guard{
		hosts:  map[string]bool{},
		beyond: !tcp.IP.IsLoopback(),
		key:    o.Key,
		cookie: "joulewell_key_" + port, // cookies are shared by all ports of a host
		secure: o.Secure,
		tries:  newTries(time.Now),
		cross:  http.NewCrossOriginProtection(),
	}
	names := []string{"127.0.0.1", "localhost", "::1"}
	if !tcp.IP.IsUnspecified() {
		names = append(names, tcp.IP.String())
	}
	if host, _, err := net.SplitHostPort(o.Listen); err == nil && host != "" {
		names = append(names, host)
	}
	for _, name := range names {
		g.allow(name, port)
	}
	for _, extra := range o.ExtraHosts {
		g.hosts[g.asBrowsersWrite(extra)] = true
		if _, _, err := net.SplitHostPort(extra); err != nil {
			g.allow(strings.Trim(extra, "[]"), port)
		}
	}
	return g, nil
}

func (g *guard) allow(name, port string) {
	g.hosts[g.asBrowsersWrite(net.JoinHostPort(name, port))] = true
}

// asBrowsersWrite returns host:port as it stands in a Host header: without the port
// that goes without saying.
func (g *guard) asBrowsersWrite(hostPort string) string {
	usual := ":80"
	if g.secure {
		usual = ":443"
	}
	return strings.TrimSuffix(strings.ToLower(hostPort), usual)
}

// means reports whether host, from a Host or Origin header of r, is a name of ours:
// one that is listed, or the very address at which the connection arrived. The latter
// is a number and cannot be re-pointed.
func (g *guard) means(host string, r *http.Request) bool {
	host = g.asBrowsersWrite(host)
	local, ok := r.Context().Value(http.LocalAddrContextKey).(net.Addr)
	return g.hosts[host] || ok && host == g.asBrowsersWrite(local.String())
}

// ownPage reports whether r comes from a page of ours, or from a program that is not
// a browser: those name neither an origin nor, in Sec-Fetch-Site, their relation to us.
func (g *guard) ownPage(r *http.Request) bool {
	switch origins := r.Header["Origin"]; len(origins) {
	case 0:
		return r.Header.Get("Sec-Fetch-Site") == ""
	case 1:
		scheme, host, _ := strings.Cut(origins[0], "://")
		return (scheme == "https" || scheme == "http" && !g.secure) && g.means(host, r)
	default:
		return false
	}
}

// wrap returns next behind the guard.
func (g *guard) wrap(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		setHeaders(w.Header())
		limit(w, r)
		if !g.means(r.Host, r) {
			refuse(w, http.StatusMisdirectedRequest,
				fmt.Sprintf("this daemon is not known as %q: use the address that it printed at its start, or name this one as an extra host", r.Host))
			return
		}
		// Older browsers do not count the websocket as 'self'. The host is one of ours.
		socket := " ws://"
		if g.secure {
			socket = " wss://"
		}
		w.Header().Set("Content-Security-Policy", contentPolicy+socket+r.Host)
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			if status, why := g.checkChange(r); status != 0 {
				refuse(w, status, why)
				return
			}
		}
		next.ServeHTTP(w, r)
	})
}

// checkChange looks at a request that may change something. It returns a status other
// than zero, and why, to refuse it. That JSON is demanded keeps plain HTML forms out.
func (g *guard) checkChange(r *http.Request) (status int, why string) {
	if err := g.cross.Check(r); err != nil || !g.ownPage(r) {
		return http.StatusForbidden, "pages of other origins may not change anything here"
	}
	if typ, _, err := mime.ParseMediaType(r.Header.Get("Content-Type")); err != nil || typ != "application/json" {
		return http.StatusUnsupportedMediaType, "the request must have Content-Type: application/json"
	}
	return 0, ""
}

// limit bounds the size of r's body and the time until its answer is written.
func limit(w http.ResponseWriter, r *http.Request) {
	r.Body = http.MaxBytesReader(w, r.Body, maxBody)
	c, deadline := http.NewResponseController(w), time.Now().Add(requestWithin)
	c.SetWriteDeadline(deadline)
	if r.ContentLength != 0 {
		c.SetReadDeadline(deadline)
	}
}

// contentPolicy ends with connect-src, to which the host is appended.
const contentPolicy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; " +
	"base-uri 'none'; frame-ancestors 'none'; form-action 'self'; connect-src 'self'"

func setHeaders(h http.Header) {
	h.Set("Content-Security-Policy", contentPolicy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("Referrer-Policy", "no-referrer")
	// A page that is isolated from others gets a finer clock for its latency readout.
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Embedder-Policy", "require-corp")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
}
