package webui

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"strings"
	"testing"
	"time"

	"joulewell/daq"
)

func TestStatus(t *testing.T) {
	s := newSite(t)
	answer, data := s.want(t, http.StatusOK, "GET", "/api/status", "")
	if typ, cache := answer.Header.Get("Content-Type"), answer.Header.Get("Cache-Control"); typ != "application/json" || cache != "no-store" {
		t.Errorf("type %s, cache %s", typ, cache)
	}
	m := decode(t, data)
	last := m["last"].(map[string]any)
	for what, pair := range map[string][2]any{
		"bench":     {m["bench"], "Tamar"},
		"version":   {m["version"], "0.1.0"},
		"link":      {m["link"], "live"},
		"lag":       {m["lag_s"], 0.04},
		"seq":       {m["seq"], 1042.0},
		"refused":   {fmt.Sprint(m["lines"].(map[string]any)["refused"]), "map[checksum:3]"},
		"misplaced": {m["lines"].(map[string]any)["misplaced"], 2.0},
		"clock":     {m["clock"].(map[string]any)["ppm"], -1330.0},
		"run":       {m["run"].(map[string]any)["length_s"], 50.0},
		"time":      {last["t_s"], 12.345678901},
		"total":     {last["total_J"], 0.03 + 0.75 + 1.125},
		"absent":    {last["distance_m"], nil},
		"raw":       {last["raw_load_counts"], -184223.0},
	} {
		if pair[0] != pair[1] {
			t.Errorf("%s is %v, want %v", what, pair[0], pair[1])
		}
	}
	s.bench.set(func(st *daq.Status) { st.Fresh, st.ClockKnown, st.Rate = false, false, math.Inf(1) })
	_, data = s.want(t, http.StatusOK, "GET", "/api/status", "")
	m = decode(t, data)
	if m["last"] != nil || m["rate_per_s"] != nil || m["clock"].(map[string]any)["ppm"] != nil {
		t.Errorf("what is not known is shown: %s", data)
	}
}

func TestRunCommands(t *testing.T) {
	s := newSite(t)
	_, data := s.want(t, http.StatusCreated, "POST", "/api/run/start", `{"note":"S-4, second drop"}`, asJSON...)
	if m := decode(t, data); m["active"] != true || m["name"] != "2026-11-25T190000Z-tamar" {
		t.Errorf("started %s", data)
	}
	s.want(t, http.StatusCreated, "POST", "/api/run/start", "", asJSON...) // a note is not demanded
	_, data = s.want(t, http.StatusOK, "POST", "/api/run/stop", "{}", append(asJSON, "Content-Encoding", "identity")...)
	if m := decode(t, data); m["active"] != false || m["rows"] != 17.0 || m["length_s"] != 1.5 {
		t.Errorf("stopped %s", data)
	}
	if len(s.bench.notes) != 2 || s.bench.notes[0] != "S-4, second drop" || s.bench.notes[1] != "" {
		t.Errorf("notes %q", s.bench.notes)
	}
	for _, body := range []string{`{`, `[]`, `{"note":7}`, `{"notes":"x"}`, `{}{}`, `{} x`, "note=x", `{"note":"` + strings.Repeat("x", maxNote+1) + `"}`} {
		s.want(t, http.StatusBadRequest, "POST", "/api/run/start", body, asJSON...)
	}
	s.want(t, http.StatusBadRequest, "POST", "/api/run/stop", `{"note":""}`, asJSON...)
	if len(s.bench.notes) != 2 {
		t.Errorf("a bad request begins a run: %q", s.bench.notes)
	}
}

// The bench's refusals reach people as it words them.
func TestRunRefusals(t *testing.T) {
	s := newSite(t)
	for _, c := range []struct {
		err    error
		status int
	}{
		{daq.ErrRecording, http.StatusConflict},
		{daq.ErrNotRecording, http.StatusConflict},
		{daq.ErrNoFolder, http.StatusConflict},
		{fmt.Errorf("%w (the link is silent)", daq.ErrNoReadings), http.StatusConflict},
		{daq.ErrStopped, http.StatusServiceUnavailable},
		{errors.New("create run: disk full: make room in the data folder"), http.StatusInternalServerError},
	} {
		s.bench.refuse = c.err
		for _, path := range []string{"/api/run/start", "/api/run/stop"} {
			_, data := s.want(t, c.status, "POST", path, "{}", asJSON...)
			text := c.err.Error()
			if want := strings.ToUpper(text[:1]) + text[1:] + "."; decode(t, data)["detail"] != want {
				t.Errorf("detail %s, want %s", data, want)
			}
		}
	}
}

func TestRuns(t *testing.T) {
	s := newSite(t)
	s.bench.addRun("odd name; 100% ü", "time_s\n1.5\n")
	_, data := s.want(t, http.StatusOK, "GET", "/api/runs", "")
	runs := decode(t, data)["runs"].([]any)
	if len(runs) != 2 || runs[0].(map[string]any)["file"] != "2026-11-25T184210Z-tamar.csv" {
		t.Fatalf("index %s", data)
	}
	for _, path := range []string{"/api/runs/2026-11-25T184210Z-tamar", "/api/runs/2026-11-25T184210Z-tamar.csv"} {
		answer, data := s.want(t, http.StatusOK, "GET", path, "")
		if string(data) != "time_s,epoch\n0.000000000,1\n" {
			t.Errorf("%s: %q", path, data)
		}
		for name, want := range map[string]string{
			"Content-Type":        "text/csv; charset=utf-8; header=present",
			"Content-Disposition": "attachment; filename=2026-11-25T184210Z-tamar.csv",
			"Link":                `</api/runs/2026-11-25T184210Z-tamar.csv-metadata.json>; rel="describedby"; type="application/csvm+json"`,
			"Last-Modified":       "Wed, 25 Nov 2026 18:42:10 GMT",
		} {
			if got := answer.Header.Get(name); got != want {
				t.Errorf("%s: %s is %q, want %q", path, name, got, want)
			}
		}
	}
	answer, part := s.do(t, "GET", "/api/runs/2026-11-25T184210Z-tamar.csv", "", "Range", "bytes=7-11")
	if answer.StatusCode != http.StatusPartialContent || string(part) != "epoch" {
		t.Errorf("a range is answered by %d %q", answer.StatusCode, part)
	}
	answer, data = s.want(t, http.StatusOK, "GET", "/api/runs/odd%20name%3B%20100%25%20%C3%BC.csv", "")
	if string(data) != "time_s\n1.5\n" || !strings.HasPrefix(answer.Header.Get("Link"), "</api/runs/odd%20name%3B%20100%25%20%C3%BC.csv-metadata.json>") {
		t.Errorf("an odd name gives %q, Link %s", data, answer.Header.Get("Link"))
	}
	for _, path := range []string{
		"/api/runs/nowhere", "/api/runs/nowhere.csv-metadata.json", "/api/runs/nowhere/metadata", "/api/runs/..%2f..%2fgo.mod", "/api/runs/.csv",
	} {
		s.want(t, http.StatusNotFound, "GET", path, "")
	}
	s.bench.files = nil
	_, data = s.want(t, http.StatusNotFound, "GET", "/api/runs", "")
	if !strings.Contains(string(data), "--data") {
		t.Errorf("without a folder: %s", data)
	}
}

// A reader of tables that follows the Link header finds a description whose relative
// URL leads back to the CSV, as "Model for Tabular Data and Metadata on the Web" (W3C
// Recommendation 2015), 5.2, demands; otherwise it has to ignore the description.
func TestMetadataLeadsBack(t *testing.T) {
	s := newSite(t)
	answer, _ := s.do(t, "GET", "/api/runs/2026-11-25T184210Z-tamar.csv", "")
	link, _, _ := strings.Cut(strings.TrimPrefix(answer.Header.Get("Link"), "<"), ">")
	answer, data := s.want(t, http.StatusOK, "GET", link, "")
	if typ := answer.Header.Get("Content-Type"); typ != "application/csvm+json" {
		t.Errorf("type %s", typ)
	}
	back, err := answer.Request.URL.Parse(decode(t, data)["url"].(string))
	if err != nil || back.Path != "/api/runs/2026-11-25T184210Z-tamar.csv" {
		t.Errorf("the description leads to %v", back)
	}
	_, same := s.want(t, http.StatusOK, "GET", "/api/runs/2026-11-25T184210Z-tamar/metadata", "")
	if string(same) != string(data) {
		t.Errorf("under /metadata: %s", same)
	}
}

func TestHealth(t *testing.T) {
	s := newSite(t)
	s.want(t, http.StatusOK, "GET", "/healthz", "")
	s.want(t, http.StatusOK, "GET", "/readyz", "")
	s.bench.set(func(st *daq.Status) { st.Link, st.LinkDetail = daq.Waiting, "looking for the device" })
	_, data := s.want(t, http.StatusServiceUnavailable, "GET", "/readyz", "")
	if detail := decode(t, data)["detail"]; detail != "The device is waiting: looking for the device." {
		t.Errorf("detail %q", detail)
	}
	for _, link := range []daq.Link{daq.Live, daq.Replaying} {
		s.bench.set(func(st *daq.Status) { st.Link = link })
		s.want(t, http.StatusOK, "GET", "/readyz", "")
	}

	s.pulse.mu.Lock() // as if the bench had stood still for so long
	s.pulse.moved = s.pulse.moved.Add(-deadAfter)
	s.pulse.mu.Unlock()
	s.want(t, http.StatusServiceUnavailable, "GET", "/healthz", "")
	s.bench.set(func(st *daq.Status) { st.Now += time.Second })
	s.pulse.see(s.bench.Status().Now, time.Now())
	s.want(t, http.StatusOK, "GET", "/healthz", "")
}

func TestPulse(t *testing.T) {
	var p pulse
	at := time.Now()
	p.see(5*time.Second, at)
	for _, c := range []struct {
		after time.Duration
		now   time.Duration // Status.Now
		alive bool
	}{
		{time.Second, 5 * time.Second, true},
		{deadAfter, 5 * time.Second, false},
		{deadAfter + time.Second, 6 * time.Second, true},
		{2*deadAfter + time.Second, 6 * time.Second, false},
	} {
		p.see(c.now, at.Add(c.after))
		if got := p.alive(at.Add(c.after)); got != c.alive {
			t.Errorf("after %v with the status of %v: alive %v", c.after, c.now, got)
		}
	}
}

func TestSentence(t *testing.T) {
	for in, want := range map[string]string{
		"no run is being recorded": "No run is being recorded.",
		"is the bit rate right?":   "Is the bit rate right?",
		" über 3. ":                "Über 3.",
		"":                         "",
	} {
		if got := sentence(in); got != want {
			t.Errorf("sentence(%q) = %q, want %q", in, got, want)
		}
	}
}
