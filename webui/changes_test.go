package webui

import (
	"net/url"
	"testing"

	"joulewell/daq/series"
)

// Who names the state that they know is told what has changed since, and all where that
// cannot be told.
func TestTrialsSince(t *testing.T) {
	s := newSite(t, withTrials)
	ask := func(since string) (mark string, of string, told []any, count float64) {
		t.Helper()
		_, data := s.want(t, 200, "GET", "/api/trials?since="+url.QueryEscape(since), "")
		m := decode(t, data)
		return m["mark"].(string), m["since"].(string), m["trials"].([]any), m["count"].(float64)
	}
	first, since, told, count := ask("")
	if first == "" || since != "" || len(told) != 2 || count != 2 {
		t.Fatalf("at first: %q since %q, %d of %v told", first, since, len(told), count)
	}
	if mark, since, told, count := ask(first); mark != first || since != first || len(told) != 0 || count != 2 {
		t.Errorf("nothing has changed: %q since %q, %d of %v told", mark, since, len(told), count)
	}
	_, data := s.want(t, 200, "POST", "/api/trials/group?since="+url.QueryEscape(first), `{"run":"`+oneRun+`","group":"south"}`, asJSON...)
	m := decode(t, data)
	if told := m["trials"].([]any); m["since"] != first || len(told) != 2 || told[1].(map[string]any)["at"] != 1.0 || told[1].(map[string]any)["group"] != "south" {
		t.Errorf("labelled anew: %v", m)
	}
	labelled := m["mark"].(string)
	if _, since, told, _ := ask(labelled); since != labelled || len(told) != 0 {
		t.Errorf("known already: since %q, %d told", since, len(told))
	}
	for _, of := range []string{"nowhere", first + "0", "-", first[:len(first)-1]} {
		if _, since, told, _ := ask(of); since != "" || len(told) != 2 {
			t.Errorf("since %q: told since %q, %d trials", of, since, len(told))
		}
	}
	if err := s.options.Trials.Seal(series.Asked{}); err != nil {
		t.Fatal(err)
	}
	sealed, since, told, _ := ask(labelled)
	if since != "" || len(told) != 2 || told[0].(map[string]any)["row"].(map[string]any)["first_fall_loss_J"] != nil {
		t.Errorf("sealed since: since %q, %v", since, told)
	}
	s.options.Trials.Unseal()
	if _, since, told, _ := ask(sealed); since != "" || len(told) != 2 {
		t.Errorf("opened since: since %q, %d told", since, len(told))
	}
}
