package webui

import (
	"crypto/sha256"
	"crypto/subtle"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// withKey returns h behind the bench key. On this machine alone no key is asked for:
// who can reach us there can also reach the device.
func (g *guard) withKey(h http.HandlerFunc) http.HandlerFunc {
	if !g.beyond {
		return h
	}
	return func(w http.ResponseWriter, r *http.Request) {
		if !g.offers(w, r, offered(r, g.cookie)) {
			return
		}
		h(w, r)
	}
}

// offered returns the key that a request carries, "" when none.
func offered(r *http.Request, cookie string) string {
	if token, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok {
		return token
	}
	if c, err := r.Cookie(cookie); err == nil {
		return c.Value
	}
	return ""
}

// offers reports whether key is the bench key, and answers r when it is not. A request
// without any is no guess.
func (g *guard) offers(w http.ResponseWriter, r *http.Request, key string) bool {
	if key == "" {
		refuseKey(w)
		return false
	}
	ok, wait := g.tries.check(r, func() bool { return g.isKey(key) })
	switch {
	case wait > 0:
		seconds := int(wait/time.Second) + 1
		w.Header().Set("Retry-After", strconv.Itoa(seconds))
		refuse(w, http.StatusTooManyRequests, fmt.Sprintf("too many wrong keys came from your address: try again in %d s", seconds))
	case !ok:
		refuseKey(w)
	}
	return ok
}

func refuseKey(w http.ResponseWriter) {
	w.Header().Set("WWW-Authenticate", `Bearer realm="joulewell"`)
	refuse(w, http.StatusUnauthorized, "this needs the bench key, which the daemon printed at its start")
}

// isKey takes the same time whatever is wrong with s, its length included.
func (g *guard) isKey(s string) bool {
	got, want := sha256.Sum256([]byte(s)), sha256.Sum256([]byte(g.key))
	return subtle.ConstantTimeCompare(got[:], want[:]) == 1
}

// takeKey answers POST /api/key: the page hands over the key that a person typed and
// gets it back as a cookie that no script can read.
func (s *Server) takeKey(w http.ResponseWriter, r *http.Request) {
	var request struct {
		Key string `json:"key"`
	}
	if !readJSON(w, r, &request) {
		return
	}
	if s.guard.beyond && !s.guard.offers(w, r, request.Key) {
		return
	}
	s.guard.giveCookie(w, request.Key)
	w.WriteHeader(http.StatusNoContent)
}

// openWithKey answers GET /key/KEY, an address to be opened once on a telephone instead
// of typing the key there.
func (s *Server) openWithKey(w http.ResponseWriter, r *http.Request) {
	key := r.PathValue("key")
	if s.guard.beyond && !s.guard.offers(w, r, key) {
		return
	}
	s.guard.giveCookie(w, key)
	w.Header().Set("Cache-Control", "no-store")
	http.Redirect(w, r, "/", http.StatusSeeOther)
}

// giveCookie lets a browser show the key by itself from now on. No script can read it,
// and other sites cannot use it.
func (g *guard) giveCookie(w http.ResponseWriter, key string) {
	if !g.beyond {
		return
	}
	http.SetCookie(w, &http.Cookie{
		Name: g.cookie, Value: key, Path: "/",
		HttpOnly: true, Secure: g.secure, SameSite: http.SameSiteStrictMode,
	})
}
