package webui

import (
	"encoding/json"
	"maps"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/prometheus/client_golang/prometheus"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/energy"
)

// readme is README.md cut at its headings.
func readme(t *testing.T) map[string]string {
	t.Helper()
	data, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	parts := map[string]string{}
	heading := ""
	for line := range strings.Lines(string(data)) {
		if strings.HasPrefix(line, "#") {
			heading = strings.Trim(line, "#` \n")
		}
		parts[heading] += line
	}
	return parts
}

var tableRow = regexp.MustCompile("(?m)^\\| `([^`]+)` \\|(.*)\\|$")

// table returns the rows whose first cell is a name in code, as the other cells by name.
func table(part string) map[string][]string {
	rows := map[string][]string{}
	for _, m := range tableRow.FindAllStringSubmatch(part, -1) {
		cells := strings.Split(m[2], "|")
		for i := range cells {
			cells[i] = strings.TrimSpace(cells[i])
		}
		rows[m[1]] = cells
	}
	return rows
}

var jsonBlock = regexp.MustCompile("(?s)```json\n(.*?)```")

func example(t *testing.T, part string) map[string]any {
	t.Helper()
	m := jsonBlock.FindStringSubmatch(part)
	if m == nil {
		t.Fatalf("no example in %.60q", part)
	}
	return decode(t, []byte(m[1]))
}

// names lists a message's keys; those of lines, clock, run and trials by their path, as
// the table of status does.
func names(m map[string]any) []string {
	var out []string
	for key, v := range m {
		inner, ok := v.(map[string]any)
		if !ok || !slices.Contains([]string{"lines", "clock", "run", "trials"}, key) {
			out = append(out, key)
			continue
		}
		for k := range inner {
			out = append(out, key+"."+k)
		}
	}
	slices.Sort(out)
	return out
}

func same(t *testing.T, what string, got, want []string) {
	t.Helper()
	if !slices.Equal(got, want) {
		t.Errorf("%s:\n%q\nwant\n%q", what, got, want)
	}
}

// What goes over a real websocket has exactly the keys of the tables, and so have the
// examples.
func TestReadmeMessages(t *testing.T) {
	parts := readme(t)
	s := newSite(t)
	s.bench.set(func(st *daq.Status) { st.Last.Flags = frame.Gap })
	c := dialLive(t, s, "rate=all&channels=height_m,force_N")
	seen := map[string]map[string]any{}
	for len(seen) < 3 {
		var m map[string]any
		if err := c.ReadJSON(&m); err != nil {
			t.Fatal(err)
		}
		if m["type"] == "hello" { // it has joined
			s.bench.publish(daq.Batch{Newest: 1, Frames: s.bench.frames()})
		}
		seen[m["type"].(string)] = m
	}
	for _, typ := range []string{"hello", "frames", "status"} {
		described := slices.Sorted(maps.Keys(table(parts[typ])))
		if typ == "frames" { // the row NAME stands for these two
			described = append(described, "height_m", "force_N")
			slices.Sort(described)
		}
		same(t, typ+" as sent", names(seen[typ]), described)
		same(t, typ+" as in the example", names(example(t, parts[typ])), described)
	}
	d := readDocument(t)
	d.hold(t, "apparatus in the example", d.Components.Schemas["Apparatus"], example(t, parts["hello"])["apparatus"])
	d.hold(t, "apparatus as sent", d.Components.Schemas["Apparatus"], seen["hello"]["apparatus"])
	ack := example(t, parts["What a viewer may send"])
	if ack["type"] != "ack" || ack["seq"] != 1042.0 || len(ack) != 2 {
		t.Errorf("the example of an acknowledgement is %v", ack)
	}
}

// Status and its schema are told twice, in README.md and in openapi.json.
func TestReadmeStatusIsTheAPIs(t *testing.T) {
	s := newSite(t)
	_, data := s.do(t, "GET", "/api/status", "")
	var status map[string]json.RawMessage
	if err := json.Unmarshal(data, &status); err != nil {
		t.Fatal(err)
	}
	for name := range table(readme(t)["status"]) {
		outer, _, _ := strings.Cut(name, ".")
		if _, ok := status[outer]; !ok && name != "v" && name != "type" {
			t.Errorf("GET /api/status lacks %s", name)
		}
	}
}

func TestReadmeChannels(t *testing.T) {
	rows := table(readme(t)["Channels"])
	for _, c := range frame.Columns() {
		row, ok := rows[c.Name]
		if !ok || len(row) != 2 || row[0] != c.Unit || row[1] != c.Title {
			t.Errorf("%s is described as %q, want %q %q", c.Name, row, c.Unit, c.Title)
		}
	}
	if len(rows) != len(frame.Columns()) {
		t.Errorf("%d channels are described, %d exist", len(rows), len(frame.Columns()))
	}
}

func TestReadmeMetrics(t *testing.T) {
	descriptions := make(chan *prometheus.Desc, 100)
	testCollector(newFakeBench()).Describe(descriptions)
	close(descriptions)
	var real []string
	for d := range descriptions {
		name, _, _ := strings.Cut(strings.TrimPrefix(d.String(), `Desc{fqName: "`), `"`)
		real = append(real, name)
	}
	slices.Sort(real)
	described := slices.Sorted(maps.Keys(table(readme(t)["Metrics"])))
	same(t, "metrics", described, real)
}

// Every route is in the first table, or in the document that it names.
func TestReadmeRoutes(t *testing.T) {
	s := newSite(t)
	text := readme(t)["What the daemon says to browsers, scripts and monitoring"]
	for _, r := range s.routes() {
		first := "/" + strings.Split(r.path, "/")[1]
		if !strings.Contains(text, "`"+strings.TrimSuffix(first, "{$}")) {
			t.Errorf("%s is not mentioned", r.path)
		}
	}
}

// A word in the table for each flag, and none besides.
func TestReadmeFlags(t *testing.T) {
	row := table(readme(t)["frames"])["flags"]
	var words []string
	for i := range 16 {
		if w := frame.Flags(1 << i).Words(nil); len(w) > 0 {
			words = append(words, "`"+string(w)+"`")
		}
	}
	if meaning := row[len(row)-1]; !strings.HasSuffix(meaning, ": "+strings.Join(words, ", ")) {
		t.Errorf("flags are described as %q, they are %s", meaning, words)
	}
}

// The example's well is that of the example's apparatus.
func TestReadmeWell(t *testing.T) {
	m := jsonBlock.FindStringSubmatch(readme(t)["hello"])
	var hello struct {
		Apparatus energy.Apparatus
		Well      struct {
			Height    []float64 `json:"height_m"`
			Potential []float64 `json:"potential_J"`
		}
	}
	if err := json.Unmarshal([]byte(m[1]), &hello); err != nil {
		t.Fatal(err)
	}
	model, err := energy.NewModel(hello.Apparatus, 0)
	if err != nil {
		t.Fatal(err)
	}
	for i, h := range hello.Well.Height {
		if want := model.Potential(h); math.Abs(hello.Well.Potential[i]-want) > 0.005 { // two decimals are printed
			t.Errorf("potential energy at %g m is given as %g J, the model has %.4f J", h, hello.Well.Potential[i], want)
		}
	}
}
