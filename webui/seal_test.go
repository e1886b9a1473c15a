package webui

import (
	"net/http"
	"slices"
	"testing"

	"joulewell/daq/series"
)

// Of every address somebody has decided: it holds no answer, or strips it, and is on this
// list; or it is refused while results are sealed.
func TestSealKnowsEveryRoute(t *testing.T) {
	harmless := []string{
		"/{$}", "/trials", "/balance", "/upkeep", "/class", "/assets/{name...}", "/key/{key}", "/healthz", "/readyz",
		"/live", "/metrics", "/api/status", "/api/trials", "/api/trials/sheet", // which strip it
		"/api/bench", "/api/runs", "/api/balance", "/api/upkeep", "/api/upkeep/checks", "/api/openapi.json",
	}
	s := newSite(t, withTrials)
	if err := s.options.Trials.Seal(series.Asked{}); err != nil {
		t.Fatal(err)
	}
	for _, r := range s.routes() {
		if r.method != "GET" || slices.Contains(harmless, r.path) {
			continue
		}
		if a, _ := s.do(t, "GET", r.example(), ""); a.StatusCode != http.StatusLocked {
			t.Errorf("sealed, %s is answered by %s: put it behind Server.unsealed or, if it holds no answer, on the list here", r.path, a.Status)
		}
	}
}
