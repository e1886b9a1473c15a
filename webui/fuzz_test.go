package webui

import (
	"encoding/json"
	"net/http"
	"net/http/httptest"
	"strings"
	"testing"
)

// Whatever the body of a command holds, it is answered, never by a status that blames
// the daemon, and in JSON.
func FuzzBody(f *testing.F) {
	s := newSite(f, withUpkeep)
	var changes []route
	for _, r := range s.routes() {
		if r.method == "POST" {
			changes = append(changes, r)
		}
	}
	for i := range changes {
		for _, body := range []string{
			"", "{}", `{"note":"\ud800"}`, `{"kind":"spring"}`, `{"load":"100 g","rule":"145 mm"}`, `{"load":"1e999 g"}`,
			`{"by":"technician","due":"9999-12-31"}`, `{"readings":{"start-height":"0.8 m +- nan","end-height":"-1e308m"}}`,
			`{"key":null}`, `[[[[[[`, `{} {}`, "\xff\xfe{",
		} {
			f.Add(uint8(i), body)
		}
	}
	handler := s.guard.wrap(s.handler())
	f.Fuzz(func(t *testing.T, which uint8, body string) {
		r := changes[int(which)%len(changes)]
		request := httptest.NewRequest(r.method, "http://"+s.host+r.example(), strings.NewReader(body))
		request.Header.Set("Content-Type", "application/json")
		w := httptest.NewRecorder()
		handler.ServeHTTP(w, request)
		if w.Code >= http.StatusInternalServerError {
			t.Fatalf("%s %q: %d %s", r.path, body, w.Code, w.Body)
		}
		if w.Code != http.StatusNoContent && !json.Valid(w.Body.Bytes()) {
			t.Fatalf("%s %q: %d and no JSON: %s", r.path, body, w.Code, w.Body)
		}
	})
}
