package webui

import (
	"encoding/json"
	"net/http"
	"strings"
	"unicode"
	"unicode/utf8"
)

// problem is an answer that could not be given, as RFC 9457 describes it. Its type is
// always about:blank: status and detail say all there is.
type problem struct {
	Type   string `json:"type"`
	Title  string `json:"title"`
	Status int    `json:"status"` // [1] HTTP status
	Detail string `json:"detail"`
}

// refuse answers with a problem; why is made a sentence.
func refuse(w http.ResponseWriter, status int, why string) {
	h := w.Header()
	h.Set("Content-Type", "application/problem+json")
	h.Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	json.NewEncoder(w).Encode(problem{"about:blank", http.StatusText(status), status, sentence(why)})
}

// sentence gives s a capital and a full stop.
func sentence(s string) string {
	s = strings.TrimSpace(s)
	first, size := utf8.DecodeRuneInString(s)
	if s == "" {
		return s
	}
	s = string(unicode.ToUpper(first)) + s[size:]
	if !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, "?") {
		s += "."
	}
	return s
}
