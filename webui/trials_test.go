package webui

import (
	"encoding/csv"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/series"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/energy"
	"joulewell/energy/worksheet"
)

func (b *fakeBench) StartRunFrom(note string, _ int64) (daq.Recording, error) {
	return b.StartRun(note)
}

// withTrials gives a site a data folder with a run of two trials.
func withTrials(o *Options, _ *net.Listener) {
	b := o.Bench.(*fakeBench)
	must := func(err error) {
		if err != nil {
			panic(err)
		}
	}
	dir, err := os.OpenRoot(b.folder)
	must(err)
	defer dir.Close()
	file, err := setup.Load("../testdata/benches/severn.toml")
	must(err)
	b.setup.Calibration = file.Bench.Calibration
	meta := runfile.Meta{Created: time.Date(2026, 11, 25, 18, 42, 10, 0, time.UTC), Setup: file.Bench}
	run, err := runfile.Create(dir, oneRun, meta, runfile.Options{})
	must(err)
	run.Append(&frame.Frame{T: 1})
	must(run.Close(meta))
	must(kept.Write(dir, kept.Kept{Run: oneRun, Created: meta.Created, Group: "S-4", Virtual: true, Trials: []trials.Row{aTrial(), aTrial()}}))
	o.Trials, err = series.Open(series.Options{Bench: b, Dir: b.folder, Version: "0.1.0"})
	must(err)
}

const oneRun = "2026-11-25T184210Z-severn"

// answer is the beginning of every energy of these tests, and of nothing else.
const answer = "3.14159"

// aTrial is a trial whose every energy begins with [answer].
func aTrial() trials.Row {
	e := func(v float64) *energy.Estimate { return &energy.Estimate{Value: v, U: v / 1000} }
	joules := energy.Estimate{Value: 3.141592, U: 3.141593}
	place := func(t, height float64) *trials.Place {
		return &trials.Place{T: t, Height: *e(height), Extension: *e(0.85 - height), Elastic: joules, Gravitational: joules, Total: joules}
	}
	return trials.Row{
		Run: oneRun + ".csv", Bench: "Severn", Spring: "S-4", Bob: "brass bob", Counts: true, Release: -0.4, Over: trials.ByCycles, Cycles: 5,
		Start: place(-0.4, 0.7), Lowest: place(0, 0.5), End: place(3, 0.69), Amplitude: e(0.1), Period: e(0.64),
		FirstLoss: &joules, CycleLoss: &joules, Swung: &joules, Push: e(0.01), Excess: e(0.0001), Decay: "viscous",
		Findings: []trials.Finding{{Fault: trials.Sway, Sentence: "the bob swayed"}}, Notes: []string{"lost " + answer + " J"},
	}
}

// pi gives every energy of a frame the digits of [answer].
func pi(st *daq.Status) {
	e := energy.Estimate{Value: 3.141592, U: 3.141593}
	st.Last.Energies = energy.Energies{Kinetic: e, Elastic: e, Gravitational: e, Total: e}
}

// Sealed, no route and no websocket gives an answer away; open, every place that is
// stripped does hold one, so that the search finds what it looks for.
func TestSealedLeaksNothing(t *testing.T) {
	s := newSite(t, withTrials, func(o *Options, l *net.Listener) {
		o.Well = func() (h, p []float64) { return []float64{0.5}, []float64{3.1415926} }
		withClass(t, []string{o.Bench.(*fakeBench).folder})(o, l)
	})
	s.bench.set(pi)
	s.bench.addRun("leak", "time_s,total_J\n0,3.1415927\n")
	if err := s.options.Trials.Seal(series.Asked{}); err != nil {
		t.Fatal(err)
	}
	holders := map[string]string{ // where answers are, and what seals them
		"/api/status": "", "/api/trials": "", "/metrics": "", "/api/trials.csv": "423", "/api/runs/{name}": "423",
		"/api/class": "423", "/api/class.csv": "423",
	}
	walk := func(each func(r *route, path string, answer *http.Response, body string)) {
		for _, r := range s.routes() {
			if r.method != "GET" || r.path == "/live" {
				continue
			}
			path := strings.Replace(r.example(), "2026-11-25T184210Z-tamar", "leak", 1)
			a, body := s.do(t, "GET", path, "")
			each(&r, path, a, string(body))
		}
	}
	walk(func(r *route, path string, a *http.Response, body string) {
		if strings.Contains(body, answer) || strings.Contains(body, "viscous") {
			t.Errorf("sealed, %s tells %s", path, body)
		}
		if holders[r.path] == "423" {
			s.want(t, http.StatusLocked, "GET", path, "")
		} else if a.StatusCode == http.StatusLocked && r.path != "/api/runs/{name}/metadata" && r.path != "/api/runs/{name}/report" {
			t.Errorf("sealed, %s is refused: %s", path, body)
		}
	})
	for _, path := range []string{"/api/runs/leak.csv", "/api/runs/leak.csv-metadata.json", "/api/runs/leak/metadata", "/api/runs/leak/report", "/api/trials/sheet?key=1&run=" + oneRun, "/api/trials/sheet?key=1&form=json&run=" + oneRun} {
		s.want(t, http.StatusLocked, "GET", path, "")
	}
	s.want(t, http.StatusLocked, "POST", "/api/balance", `{"readings":{"start-height":"0.8m","end-height":"0.62m"}}`, asJSON...)
	if text := s.overheard(t); strings.Contains(text, answer) || !strings.Contains(text, `"height_m":[0.450000]`) || !strings.Contains(text, `"total_J":[null]`) || !strings.Contains(text, `"sealed":true`) {
		t.Errorf("sealed, the websocket tells %s", text)
	}

	s.options.Trials.Unseal()
	walk(func(r *route, path string, _ *http.Response, body string) {
		if _, holds := holders[r.path]; holds && !strings.Contains(body, answer) {
			t.Errorf("open, %s does not hold the answer that the test looks for: %s", path, body)
		}
	})
	if text := s.overheard(t); strings.Count(text, answer) < 2 { // the well and the frames
		t.Errorf("open, the websocket tells %s", text)
	}
}

// Extensions are readings like heights, but where the sheet asks for them: then the seal
// withholds them as well.
func TestSealWithholdsWhatTheSheetAsks(t *testing.T) {
	s := newSite(t, withTrials)
	s.bench.set(pi)
	holds := func() (all [4]bool) {
		_, status := s.want(t, 200, "GET", "/api/status", "")
		_, rows := s.want(t, 200, "GET", "/api/trials", "")
		_, metrics := s.want(t, 200, "GET", "/metrics", "")
		return [4]bool{
			!strings.Contains(string(status), `"extension_m":null`), strings.Contains(string(rows), `"extension_m":`),
			strings.Contains(string(metrics), "joulewell_extension_meters "), !strings.Contains(s.overheardOf(t, "extension_m"), `"extension_m":[null`),
		}
	}
	for _, c := range []struct {
		name  string
		asked *series.Asked // nil: open
		holds bool
	}{
		{"open", nil, true},
		{"the whole sheet", &series.Asked{}, false},
		{"energies alone", &series.Asked{Ask: []worksheet.ID{worksheet.StartTotal, worksheet.Lost}}, true},
		{"an extension", &series.Asked{Ask: []worksheet.ID{worksheet.EndExtension}}, false},
	} {
		if c.asked != nil {
			if err := s.options.Trials.Seal(*c.asked); err != nil {
				t.Fatal(err)
			}
		}
		if got := holds(); got != [4]bool{c.holds, c.holds, c.holds, c.holds} {
			t.Errorf("%s: status, trials, metrics and websocket hold extensions: %v, want %t", c.name, got, c.holds)
		}
	}
}

// overheard is all that a new viewer is told, up to the first frames.
func (s *site) overheard(t *testing.T) string {
	return s.overheardOf(t, "height_m,kinetic_J,elastic_J,gravitational_J,total_J,u_kinetic_J,u_elastic_J,u_gravitational_J,u_total_J")
}

func (s *site) overheardOf(t *testing.T, channels string) (all string) {
	t.Helper()
	c := dialLive(t, s, "rate=all&channels="+channels)
	for {
		_, text, err := c.ReadMessage()
		if err != nil {
			t.Fatal(err)
		}
		all += string(text)
		switch {
		case strings.Contains(string(text), `"type":"status"`):
			s.bench.publish(daq.Batch{Newest: 1, Frames: s.bench.frames()})
		case strings.Contains(string(text), `"type":"frames"`):
			return all
		}
	}
}

// Viewers who were greeted before the seal come back and are greeted anew.
func TestSealSendsViewersAway(t *testing.T) {
	s := newSite(t, withTrials)
	viewer := joinLive(t, s, "channels=height_m")
	if err := s.options.Trials.Seal(series.Asked{}); err != nil {
		t.Fatal(err)
	}
	for {
		if _, _, err := viewer.ReadMessage(); err != nil {
			if !strings.Contains(err.Error(), "sealed or opened") {
				t.Errorf("sent away by %v", err)
			}
			return
		}
	}
}

// Commands, refusals and the answers that the document describes.
func TestTrialsAPI(t *testing.T) {
	s := newSite(t, withTrials)
	d := readDocument(t)
	post := func(status int, command, body string) map[string]any {
		t.Helper()
		path := "/api/trials/" + command
		a, data := s.want(t, status, "POST", path, body, asJSON...)
		described, ok := d.Paths[path]["post"].Responses[a.Status[:3]]
		if !ok {
			t.Fatalf("POST %s: an answer of %d is not described", path, status)
		}
		typ := a.Header.Get("Content-Type")
		m := decode(t, data)
		d.hold(t, path, described.Content[typ].Schema, any(m))
		return m
	}
	get := func() map[string]any {
		_, data := s.want(t, 200, "GET", "/api/trials", "")
		m := decode(t, data)
		d.hold(t, "/api/trials", d.Components.Schemas["Trials"], any(m))
		return m
	}
	row := func(m map[string]any, i int) map[string]any {
		return m["trials"].([]any)[i].(map[string]any)["row"].(map[string]any)
	}
	if m := get(); len(m["trials"].([]any)) != 2 || m["armed"] != false || m["table"] == nil || row(m, 1)["first_fall_loss_J"] == nil {
		t.Errorf("at first: %v", m)
	}
	m := post(200, "arm", `{"cycles":6,"length_s":20,"floor":true,"group":"north"}`)
	if m["armed"] != true || m["group"] != "north" || m["rule"].(map[string]any)["cycles"] != 6.0 || m["state"] != "waiting" {
		t.Errorf("armed: %v", m)
	}
	post(422, "arm", `{"cycles":2}`)
	post(422, "arm", `{"length_s":-1}`)
	post(422, "arm", `{"group":"=1"}`)
	post(400, "arm", `{"cycle":3}`)
	if m := post(200, "group", `{"group":"south"}`); m["group"] != "south" {
		t.Errorf("group: %v", m)
	}
	if m := post(200, "group", `{"run":"`+oneRun+`","group":"south"}`); m["trials"].([]any)[1].(map[string]any)["group"] != "south" {
		t.Errorf("group of a run: %v", m)
	}
	if m := post(200, "overrule", `{"run":"`+oneRun+`","index":1,"counts":false}`); row(m, 0)["counts"] != true || row(m, 1)["counts"] != false || row(m, 1)["overruled"] != true {
		t.Errorf("overruled: %v", m)
	}
	post(404, "overrule", `{"run":"`+oneRun+`","index":2,"counts":false}`)
	post(400, "overrule", `{"run":"`+oneRun+`","index":1}`)
	if m := post(200, "disarm", `{}`); m["armed"] != false {
		t.Errorf("disarmed: %v", m)
	}
	post(404, "seal", `{"run":"nowhere"}`)
	post(422, "seal", `{"ask":["treasure"]}`)
	m = post(200, "seal", `{"run":"`+oneRun+`","ask":["start_extension","end_extension"],"digits":3}`)
	if r := row(m, 0); m["sealed"] != true || m["table"] != nil || r["first_fall_loss_J"] != nil || r["period_s"] == nil || r["start"].(map[string]any)["total_J"] != nil {
		t.Errorf("sealed: %v", m)
	}
	d.hold(t, "sealed", d.Components.Schemas["Trials"], any(get()))
	post(422, "hand-in", `{"run":"`+oneRun+`","figures":{"start_extension":"1"}}`)
	post(404, "hand-in", `{"run":"nowhere","figures":{}}`)
	if m := post(200, "hand-in", `{"run":"`+oneRun+`","group":"north","figures":{"start_extension":"0.1 m"}}`); len(m["marks"].([]any)) != 2 {
		t.Errorf("handed in: %v", m)
	}
	if get()["sealed"] != true {
		t.Error("half a sheet opens")
	}
	post(200, "hand-in", `{"run":"`+oneRun+`","group":"north","figures":{"start_extension":"0.1 m","end_extension":"7 m"}}`)
	if get()["sealed"] != false {
		t.Error("a full sheet does not open")
	}
	if kept, _ := filepath.Glob(filepath.Join(s.bench.folder, "hand-ins", "*")); len(kept) != 1 {
		t.Errorf("kept %q", kept)
	}
	post(200, "seal", `{}`)
	if m := post(200, "open", `{}`); m["sealed"] != false {
		t.Errorf("opened: %v", m)
	}
}

// The sheet is a page to print, with blanks; the key has figures in them.
func TestTrialsSheet(t *testing.T) {
	s := newSite(t, withTrials)
	path := "/api/trials/sheet?run=" + oneRun + "&index=1&ask=start_total,lost&digits=4"
	a, page := s.want(t, 200, "GET", path, "")
	if typ := a.Header.Get("Content-Type"); typ != "text/html; charset=utf-8" || !strings.Contains(string(page), "number 2") || !strings.Contains(string(page), "70.0") {
		t.Errorf("%s: %s", typ, page)
	}
	if policy := a.Header.Get("Content-Security-Policy"); strings.Contains(policy, "script") || !strings.HasPrefix(policy, "default-src 'none'") {
		t.Errorf("policy %s", policy)
	}
	if _, key := s.want(t, 200, "GET", path+"&key=1", ""); !strings.Contains(string(key), "E1 = ") || strings.Contains(string(page), "E1 = ") {
		t.Errorf("key: %s", key)
	}
	_, data := s.want(t, 200, "GET", path+"&form=json", "")
	sheet := decode(t, data)
	if results := sheet["results"].([]any); len(results) != 2 || sheet["significant_digits"] != 4.0 || sheet["key"] != nil {
		t.Errorf("as data the sheet is %s", data)
	}
	_, data = s.want(t, 200, "GET", path+"&form=json&key=1", "")
	if key := decode(t, data)["key"].(map[string]any); len(key["items"].([]any)) != 2 {
		t.Errorf("as data the key is %s", data)
	}
	s.want(t, 400, "GET", "/api/trials/sheet?form=music", "")
	s.want(t, 400, "GET", "/api/trials/sheet?side=left", "")
	s.want(t, 400, "GET", "/api/trials/sheet?index=x", "")
	s.want(t, 404, "GET", "/api/trials/sheet?run=nowhere", "")
	s.want(t, 422, "GET", path+"&print=bob_mass", "")
}

// One tidy row a trial.
func TestTrialsCSV(t *testing.T) {
	s := newSite(t, withTrials)
	_, data := s.want(t, 200, "GET", "/api/trials.csv", "")
	rows, err := csv.NewReader(strings.NewReader(string(data))).ReadAll()
	if err != nil || len(rows) != 3 {
		t.Fatalf("%v, %v", rows, err)
	}
	of := func(row int, name string) string { return rows[row][slices.Index(rows[0], name)] }
	if of(2, "group") != "S-4" || of(2, "index") != "1" || of(1, "run") != oneRun+".csv" || of(1, "created") == "" {
		t.Errorf("%v", rows)
	}
}

// Where a run is played back, or nothing is recorded, there are no trials.
func TestNoTrialsHere(t *testing.T) {
	s := newSite(t)
	s.want(t, http.StatusNotFound, "GET", "/api/trials", "")
	s.want(t, http.StatusNotFound, "POST", "/api/trials/arm", "{}", asJSON...)
}
