package webui

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"
	"testing"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/workup/proof"
)

// document is what the tests need of openapi.json.
type document struct {
	OpenAPI string
	Paths   map[string]map[string]struct {
		Parameters []struct{ Name, In string }
		Responses  map[string]struct {
			Content map[string]struct{ Schema *schema }
		}
		RequestBody struct {
			Content map[string]struct{ Schema *schema }
		}
	}
	Components struct{ Schemas map[string]*schema }
}

// schema is the part of JSON Schema that openapi.json uses for answers.
type schema struct {
	Ref                  string `json:"$ref"`
	Type                 any
	Properties           map[string]*schema
	Required             []string
	AdditionalProperties any
	Items                *schema
	OneOf                []*schema
	Enum                 []any
}

func readDocument(t testing.TB) *document {
	t.Helper()
	var d document
	if err := json.Unmarshal(openAPIDocument, &d); err != nil {
		t.Fatal(err)
	}
	return &d
}

// Pages are for people and not described; everything else is, and nothing besides.
func TestOpenAPIHasTheRoutes(t *testing.T) {
	s := newSite(t)
	d := readDocument(t)
	if d.OpenAPI != "3.1.0" {
		t.Errorf("version %s", d.OpenAPI)
	}
	described := map[string]bool{}
	for path, methods := range d.Paths {
		for method, operation := range methods {
			described[strings.ToUpper(method)+" "+path] = true
			for _, p := range operation.Parameters {
				if p.In == "path" && !strings.Contains(path, "{"+p.Name+"}") {
					t.Errorf("%s has no parameter %s", path, p.Name)
				}
			}
		}
	}
	for _, r := range s.routes() {
		if slices.Contains([]string{"/{$}", "/trials", "/balance", "/upkeep", "/class"}, r.path) || strings.HasPrefix(r.path, "/assets/") || strings.HasPrefix(r.path, "/key/") {
			continue
		}
		if name := r.method + " " + r.path; !described[name] {
			t.Errorf("%s is not described", name)
		} else {
			delete(described, name)
		}
	}
	for name := range described {
		t.Errorf("%s is described and does not exist", name)
	}
}

// Real answers have exactly the keys described, with the types described, the raw
// columns and the derived ones included; and each described status was seen.
func TestAnswersAreAsDescribed(t *testing.T) {
	s := newSite(t, withUpkeep)
	d := readDocument(t)
	check := func(status int, method, path, pattern, body string, headers ...string) {
		t.Helper()
		if method == "POST" && len(headers) == 0 {
			headers = asJSON
		}
		answer, data := s.want(t, status, method, path, body, headers...)
		described, ok := d.Paths[pattern][strings.ToLower(method)].Responses[answer.Status[:3]]
		if !ok {
			t.Errorf("%s %s: an answer of %d is not described", method, path, status)
			return
		}
		typ, _, _ := strings.Cut(answer.Header.Get("Content-Type"), ";")
		content, ok := described.Content[typ]
		if !ok && status != http.StatusNoContent {
			t.Errorf("%s %s: %s is not described for %d", method, path, typ, status)
			return
		}
		if !strings.HasSuffix(typ, "json") {
			return
		}
		var value any
		if err := json.Unmarshal(data, &value); err != nil {
			t.Fatal(err)
		}
		d.hold(t, pattern, content.Schema, value)
	}
	check(200, "GET", "/api/status", "/api/status", "")
	check(200, "GET", "/api/bench", "/api/bench", "")
	check(200, "GET", "/api/runs", "/api/runs", "")
	check(200, "GET", "/api/runs/2026-11-25T184210Z-tamar", "/api/runs/{name}", "")
	check(200, "GET", "/api/runs/2026-11-25T184210Z-tamar.csv-metadata.json", "/api/runs/{name}", "")
	check(404, "GET", "/api/runs/nowhere", "/api/runs/{name}", "")
	check(200, "GET", "/api/runs/2026-11-25T184210Z-tamar/metadata", "/api/runs/{name}/metadata", "")
	check(404, "GET", "/api/runs/nowhere/metadata", "/api/runs/{name}/metadata", "")
	const report = "/api/runs/{name}/report"
	check(404, "GET", "/api/runs/nowhere/report", report, "")
	proof.Record(t, s.bench.folder, "tamar", "../testdata/recordings/tamar-drop", nil)
	check(200, "GET", "/api/runs/tamar/report", report, "")
	proof.Record(t, s.bench.folder, "odd", "../testdata/recordings/tamar-drop", func(m *runfile.Meta) { m.Setup.Apparatus.Bob.Mass.Value = -1 })
	check(422, "GET", "/api/runs/odd/report", report, "")
	s.press.turn <- struct{}{}
	check(503, "GET", "/api/runs/tamar/report", report, "")
	<-s.press.turn
	check(201, "POST", "/api/run/start", "/api/run/start", `{"note":"x"}`)
	check(200, "POST", "/api/run/stop", "/api/run/stop", "{}")
	check(200, "GET", "/api/balance", "/api/balance", "")
	check(200, "POST", "/api/balance", "/api/balance", `{"readings":{"start-height":"0.8m","end-height":"0.62m"}}`)
	check(400, "POST", "/api/balance", "/api/balance", `{"readings":{"start-height":"8"}}`)
	check(422, "POST", "/api/balance", "/api/balance", `{}`)
	check(204, "POST", "/api/key", "/api/key", `{"key":"any, on this machine"}`)
	check(400, "POST", "/api/key", "/api/key", `{`)
	check(200, "GET", "/api/openapi.json", "/api/openapi.json", "")
	check(400, "GET", "/live?rate=0", "/live", "")
	check(400, "GET", "/live", "/live", "")
	check(200, "GET", "/metrics", "/metrics", "")
	check(200, "GET", "/healthz", "/healthz", "")
	check(200, "GET", "/readyz", "/readyz", "")
	s.bench.set(func(st *daq.Status) { st.Run.Active = false })
	check(200, "GET", "/api/upkeep", "/api/upkeep", "")
	check(422, "POST", "/api/upkeep/begin", "/api/upkeep/begin", `{"kind":"timing"}`)
	check(201, "POST", "/api/upkeep/begin", "/api/upkeep/begin", `{"kind":"spring"}`)
	check(409, "POST", "/api/upkeep/begin", "/api/upkeep/begin", `{"kind":"spring"}`)
	check(422, "POST", "/api/upkeep/undo", "/api/upkeep/undo", `{}`)
	check(422, "POST", "/api/upkeep/finish", "/api/upkeep/finish", `{}`)
	check(422, "POST", "/api/upkeep/take", "/api/upkeep/take", `{"load":"100 g"}`)
	for _, p := range []string{"100 g|145 mm", "200 g|185 mm", "300 g|225 mm", "200 g|185.5 mm"} {
		load, length, _ := strings.Cut(p, "|")
		check(200, "POST", "/api/upkeep/take", "/api/upkeep/take", `{"load":"`+load+`","rule":"`+length+`"}`)
	}
	check(200, "POST", "/api/upkeep/undo", "/api/upkeep/undo", `{}`)
	check(200, "POST", "/api/upkeep/finish", "/api/upkeep/finish", `{"by":"technician","due":"2099-05-01"}`)
	check(200, "GET", "/api/upkeep", "/api/upkeep", "")
	check(201, "POST", "/api/upkeep/begin", "/api/upkeep/begin", `{"kind":"force"}`)
	check(409, "POST", "/api/upkeep/take", "/api/upkeep/take", `{"load":"100 g"}`)
	check(200, "GET", "/api/upkeep", "/api/upkeep", "")
	check(409, "POST", "/api/upkeep/arrange", "/api/upkeep/arrange", `{"load":"100 g"}`)
	check(422, "POST", "/api/upkeep/check", "/api/upkeep/check", `{}`)
	check(200, "POST", "/api/upkeep/abandon", "/api/upkeep/abandon", `{}`)
	check(409, "POST", "/api/upkeep/check", "/api/upkeep/check", `{}`)
	check(200, "GET", "/api/upkeep/checks", "/api/upkeep/checks", "")
	s.bench.set(func(st *daq.Status) { st.Run.Active = true })
	for _, path := range []string{"/api/upkeep/begin", "/api/upkeep/take", "/api/upkeep/arrange", "/api/upkeep/undo", "/api/upkeep/finish", "/api/upkeep/check", "/api/upkeep/abandon"} {
		check(400, "POST", path, path, "[")
		check(403, "POST", path, path, "{}", "Origin", "http://page.example")
		check(413, "POST", path, path, strings.Repeat(" ", maxBody+1))
		check(415, "POST", path, path, "{}", "Content-Type", "text/plain")
		check(421, "POST", path, path, "{}", "Host", "rebound.example")
	}
	check(409, "POST", "/api/upkeep/finish", "/api/upkeep/finish", "{}")
	for _, path := range []string{"/api/run/start", "/api/run/stop"} {
		check(400, "POST", path, path, "[")
		check(403, "POST", path, path, "{}", "Origin", "http://page.example")
		check(413, "POST", path, path, strings.Repeat(" ", maxBody+1))
		check(415, "POST", path, path, "{}", "Content-Type", "text/plain")
		check(421, "POST", path, path, "{}", "Host", "rebound.example")
		s.bench.refuse = daq.ErrRecording
		check(409, "POST", path, path, "{}")
		s.bench.refuse = daq.ErrStopped
		check(503, "POST", path, path, "{}")
		s.bench.refuse = http.ErrAbortHandler
		check(500, "POST", path, path, "{}")
		s.bench.refuse = nil
	}
	s.bench.set(func(st *daq.Status) { st.Fresh, st.ClockKnown, st.Virtual, st.Link = false, false, false, daq.Silent })
	check(200, "GET", "/api/status", "/api/status", "")
	check(503, "GET", "/readyz", "/readyz", "")
	s.bench.files = nil
	check(404, "GET", "/api/runs", "/api/runs", "")
}

// The columns have one list; the document repeats it for strangers.
func TestOpenAPIHasTheColumns(t *testing.T) {
	properties := readDocument(t).Components.Schemas["Frame"].Properties
	for _, c := range frame.Columns() {
		if properties[c.Name] == nil {
			t.Errorf("column %s is not described", c.Name)
		}
	}
	if n := len(frame.Columns()) + len([]string{"t_s", "epoch", "flags"}); n != len(properties) {
		t.Errorf("%d properties described, %d exist", len(properties), n)
	}
}

// hold compares a value with its schema, and says where they differ.
func (d *document) hold(t testing.TB, at string, s *schema, v any) {
	t.Helper()
	for _, difference := range d.differences(at, s, v) {
		t.Error(difference)
	}
}

func (d *document) differences(at string, s *schema, v any) []string {
	if s.Ref != "" {
		s = d.Components.Schemas[strings.TrimPrefix(s.Ref, "#/components/schemas/")]
	}
	if s == nil {
		return []string{at + ": the schema does not exist"}
	}
	if s.OneOf != nil {
		var all []string
		for _, one := range s.OneOf {
			found := d.differences(at, one, v)
			if found == nil {
				return nil
			}
			all = append(all, found...)
		}
		return all
	}
	if types := s.types(); !slices.Contains(types, jsonType(v)) && !(slices.Contains(types, "number") && jsonType(v) == "integer") {
		return []string{at + ": is " + jsonType(v) + ", described as " + strings.Join(types, " or ")}
	}
	if s.Enum != nil && !slices.Contains(s.Enum, v) {
		return []string{at + ": is none of the values described"}
	}
	var out []string
	switch v := v.(type) {
	case []any:
		for _, item := range v {
			out = append(out, d.differences(at+"[]", s.Items, item)...)
		}
	case map[string]any:
		for _, key := range s.Required {
			if _, ok := v[key]; !ok {
				out = append(out, at+"."+key+": is missing")
			}
		}
		for key, item := range v {
			if p := s.Properties[key]; p != nil {
				out = append(out, d.differences(at+"."+key, p, item)...)
			} else if s.AdditionalProperties == false {
				out = append(out, at+"."+key+": is not described")
			}
		}
	}
	return out
}

func (s *schema) types() []string {
	if one, ok := s.Type.(string); ok {
		return []string{one}
	}
	var types []string
	for _, t := range s.Type.([]any) {
		types = append(types, t.(string))
	}
	return types
}

func jsonType(v any) string {
	switch v := v.(type) {
	case nil:
		return "null"
	case bool:
		return "boolean"
	case string:
		return "string"
	case []any:
		return "array"
	case map[string]any:
		return "object"
	case float64:
		if v == float64(int64(v)) {
			return "integer"
		}
	}
	return "number"
}

// The comparison itself must be able to fail.
func TestDifferencesAreFound(t *testing.T) {
	d := readDocument(t)
	good := map[string]any{"value": 1.5, "u": 0.0}
	ref := &schema{Ref: "#/components/schemas/Estimate"}
	if found := d.differences("", ref, good); found != nil {
		t.Errorf("differences in a good value: %q", found)
	}
	for name, bad := range map[string]any{
		"missing": map[string]any{"value": 1.5},
		"more":    map[string]any{"value": 1.5, "u": 0.0, "k": 2.0},
		"type":    map[string]any{"value": "1.5", "u": 0.0},
		"null":    map[string]any{"value": nil, "u": 0.0},
		"array":   []any{1.5, 0.0},
	} {
		if found := d.differences("", ref, bad); len(found) != 1 {
			t.Errorf("%s: found %q, want one difference", name, found)
		}
	}
}
