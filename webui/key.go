package webui

import (
	"crypto/sha256"
	"crypto/subtle"
	"net/http"
	"strings"
)

// withKey returns h behind the bench key. On this machine alone no key is asked for:
// who can reach us there can also reach the device.
func (g *guard) withKey(h http.HandlerFunc) http.HandlerFunc {
	if !g.beyond {
		return h
	}
	return func(w http.ResponseWriter, r *http.Request) {
		if !g.hasKey(r) {
			refuseKey(w)
			return
		}
		h(w, r)
	}
}

func refuseKey(w http.ResponseWriter) {
	w.Header().Set("WWW-Authenticate", `Bearer realm="joulewell"`)
	refuse(w, http.StatusUnauthorized, "this needs the bench key, which the daemon printed at its start")
}

func (g *guard) hasKey(r *http.Request) bool {
	if token, ok := strings.CutPrefix(r.Header.Get("Authorization"), "Bearer "); ok {
		return g.isKey(token)
	}
	c, err := r.Cookie(g.cookie)
	return err == nil && g.isKey(c.Value)
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
	if s.guard.beyond {
		if !s.guard.isKey(request.Key) {
			refuseKey(w)
			return
		}
		http.SetCookie(w, &http.Cookie{
			Name: s.guard.cookie, Value: request.Key, Path: "/",
			HttpOnly: true, SameSite: http.SameSiteStrictMode,
		})
	}
	w.WriteHeader(http.StatusNoContent)
}
