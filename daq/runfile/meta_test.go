package runfile

import (
	"encoding/json"
	"math"
	"net/url"
	"reflect"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"joulewell/calib"
	"joulewell/energy"
)

// The properties and types that CSV on the Web knows. Source: W3C, Metadata
// Vocabulary for Tabular Data (Recommendation, 2015), sections 5.4, 5.6, 5.9 and
// 5.11.1; from memory, and only those that could be of use here.
var (
	tableProperties  = []string{"@context", "@id", "@type", "url", "dialect", "notes", "suppressOutput", "tableDirection", "tableSchema", "transformations"}
	columnProperties = []string{"name", "titles", "datatype", "required", "null", "separator", "default", "lang", "ordered", "suppressOutput", "virtual", "propertyUrl", "valueUrl", "aboutUrl", "textDirection"}
	schemaProperties = []string{"columns", "primaryKey", "foreignKeys", "rowTitles"}
	dialectOptions   = []string{"commentPrefix", "delimiter", "doubleQuote", "encoding", "header", "headerRowCount", "lineTerminators", "quoteChar", "skipBlankRows", "skipColumns", "skipInitialSpace", "skipRows", "trim"}
	cells            = map[string]*regexp.Regexp{
		"decimal":     regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`),
		"double":      regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?(e[-+]?[0-9]+)?$`),
		"unsignedInt": regexp.MustCompile(`^[0-9]{1,10}$`),
		"string":      regexp.MustCompile(`^[a-z -]*$`),
	}
)

// checkKeys wants each property to be one of the vocabulary, a Dublin Core term, or
// an absolute address: no other prefix may be used for our own.
func checkKeys(t *testing.T, where string, object map[string]any, known []string) {
	t.Helper()
	for key := range object {
		address, err := url.Parse(key)
		absolute := err == nil && strings.HasPrefix(address.Scheme, "http") && address.Host != ""
		if !slices.Contains(known, key) && !strings.HasPrefix(key, "dc:") && !absolute {
			t.Errorf("%s: property %q", where, key)
		}
	}
}

// A run file is held against its description as a validator would do it.
func TestDescriptionFitsTable(t *testing.T) {
	dir := openRoot(t, t.TempDir())
	rec, err := Create(dir, "run", Meta{}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for i := range 50 {
		rec.Append(swing(i))
	}
	if err := rec.Close(Meta{}); err != nil {
		t.Fatal(err)
	}
	records := fields(t, content(t, dir, "run.csv"))
	var table map[string]any
	if err := json.Unmarshal(content(t, dir, "run.csv-metadata.json"), &table); err != nil {
		t.Fatal(err)
	}
	if table["@context"] != "http://www.w3.org/ns/csvw" || table["url"] != "run.csv" {
		t.Errorf("@context %v, url %v", table["@context"], table["url"])
	}
	schema, dialect := table["tableSchema"].(map[string]any), table["dialect"].(map[string]any)
	checkKeys(t, "table", table, tableProperties)
	checkKeys(t, "schema", schema, schemaProperties)
	checkKeys(t, "dialect", dialect, dialectOptions)
	if p, there := dialect["commentPrefix"]; !there || p != nil {
		t.Errorf("commentPrefix %v: must be null, or # would begin a comment", p)
	}
	described := schema["columns"].([]any)
	if len(described) != len(records[0]) {
		t.Fatalf("%d columns are described, the header has %d", len(described), len(records[0]))
	}
	var names []string
	for i, c := range described {
		column := c.(map[string]any)
		checkKeys(t, "column", column, columnProperties)
		name := column["name"].(string)
		if column["titles"] != records[0][i] || slices.Contains(names, name) || !regexp.MustCompile(`^[A-Za-z0-9][A-Za-z0-9_]*$`).MatchString(name) {
			t.Errorf("column %d: name %q, titles %q, header %q", i, name, column["titles"], records[0][i])
		}
		names = append(names, name)
		checkCells(t, column, records[1:], i)
	}
	checkPrimaryKey(t, schema["primaryKey"].([]any), names, records[1:])
}

func checkCells(t *testing.T, column map[string]any, rows [][]string, i int) {
	base := column["datatype"].(map[string]any)["base"].(string)
	form := cells[base]
	if form == nil {
		t.Errorf("%s: datatype %q", column["name"], base)
		return
	}
	for _, row := range rows {
		absent := row[i] == column["null"]
		if absent && column["required"] == true || !absent && !form.MatchString(row[i]) {
			t.Errorf("%s: cell %q", column["name"], row[i])
		}
	}
}

func checkPrimaryKey(t *testing.T, key []any, names []string, rows [][]string) {
	seen := map[string]bool{}
	for _, row := range rows {
		var values []string
		for _, k := range key {
			at := slices.Index(names, k.(string))
			if at < 0 {
				t.Fatalf("primary key %v: no such column", k)
			}
			values = append(values, row[at])
		}
		joined := strings.Join(values, ",")
		if seen[joined] {
			t.Errorf("two rows have the key %s", joined)
		}
		seen[joined] = true
	}
}

// Each unit appears in words, as its UCUM code and, for all but the hundredth of a
// degree, by its address.
func TestUnits(t *testing.T) {
	for _, c := range currentSchema().Columns {
		if (c.Unit != "") != strings.HasSuffix(c.Description, "["+c.Unit+"]") {
			t.Errorf("%s: unit %q, description %q", c.Name, c.Unit, c.Description)
		}
		if (c.Measure == nil) != (c.Unit == "" || c.Unit == "cCel") {
			t.Errorf("%s: unit %q has address %v", c.Name, c.Unit, c.Measure)
		}
	}
}

var anyEstimate = rapid.Custom(func(t *rapid.T) energy.Estimate {
	return energy.Estimate{Value: rapid.Float64().Draw(t, "value"), U: rapid.Float64().Draw(t, "u")}
})

var anyMeta = rapid.Custom(func(t *rapid.T) Meta {
	m := Meta{
		Title:    rapid.String().Draw(t, "title"),
		Created:  time.Unix(0, rapid.Int64Range(0, 1<<62).Draw(t, "created")),
		Note:     rapid.String().Draw(t, "note"),
		Source:   rapid.String().Draw(t, "source"),
		Software: rapid.String().Draw(t, "software"),
		Virtual:  rapid.Bool().Draw(t, "virtual"),
		Rows:     rapid.Uint64().Draw(t, "rows"),
		Length:   rapid.Float64().Draw(t, "length"),
		Lost:     rapid.Uint64().Draw(t, "lost"),
		Complete: rapid.Bool().Draw(t, "complete"),
		Trouble:  rapid.String().Draw(t, "trouble"),
	}
	if rapid.Bool().Draw(t, "clock known") {
		e := anyEstimate.Draw(t, "clock")
		m.Clock = &e
	}
	m.UnknownColumns = rapid.SliceOfN(rapid.String(), 1, 4).Draw(t, "unknown")
	m.Setup.Name = rapid.String().Draw(t, "bench")
	m.Setup.Apparatus.Spring.Rate = anyEstimate.Draw(t, "rate")
	m.Setup.Calibration.Distance = calib.Distance{
		Date: time.Unix(rapid.Int64Range(0, 1<<32).Draw(t, "date"), 0).UTC(), Mounting: calib.Floor, Scale: anyEstimate.Draw(t, "scale"),
	}
	m.Setup.Motion.Lag = time.Duration(rapid.Int64().Draw(t, "lag"))
	return m.describe("run")
})

func TestMetaRoundTrip(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, m Meta) {
		text, err := m.encode()
		if err != nil {
			t.Fatalf("%v", err)
		}
		back, err := decodeMeta(text)
		if err != nil || !reflect.DeepEqual(*back, m) {
			t.Fatalf("%+v\nbecame\n%+v, %v\nby\n%s", m, back, err, text)
		}
	}
	check(t, Meta{}.describe("run"))
	rapid.Check(t, func(t *rapid.T) { check(t, anyMeta.Draw(t, "m")) })
}

func TestMetaEdges(t *testing.T) {
	local := time.FixedZone("", 3600)
	m := Meta{Created: time.Date(2026, 11, 25, 19, 42, 10, 0, local), Note: "mass \xff 250 g"}.describe("a b%c")
	if m.URL != "a%20b%25c.csv" || m.Title != "a b%c" || m.Note != "mass \uFFFD 250 g" {
		t.Errorf("%+v", m)
	}
	text, err := m.encode()
	if err != nil || !strings.Contains(string(text), `"dc:created": "2026-11-25T18:42:10Z"`) {
		t.Errorf("%s, %v", text, err)
	}
	m.Clock = &energy.Estimate{Value: math.NaN()}
	if _, err := m.encode(); err == nil {
		t.Error("a clock rate that is not a number has been written")
	}
}

func TestTally(t *testing.T) {
	var c tally
	for i, epoch := range []uint32{3, 3, 4, 4, 5} {
		c.add(int64(i)*500_000_000-1_000_000_000, epoch)
	}
	var m Meta
	c.into(&m)
	if m.Rows != 5 || m.Epochs != 3 || strconv.FormatFloat(m.Length, 'f', -1, 64) != "2" {
		t.Errorf("%+v", m)
	}
}
