package webui

import (
	"encoding/json"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"joulewell/daq/trials"
	"joulewell/daq/trials/collect"
	"joulewell/daq/trials/kept"
	"joulewell/energy"
)

// classOf makes folders of benches, each with a group of four trials.
func classOf(t testing.TB, names ...string) (paths []string) {
	t.Helper()
	for i, name := range names {
		path := filepath.Join(t.TempDir(), name)
		if err := os.Mkdir(path, 0o755); err != nil {
			t.Fatal(err)
		}
		dir, err := os.OpenRoot(path)
		if err != nil {
			t.Fatal(err)
		}
		defer dir.Close()
		k := kept.Kept{Run: "run", Virtual: true}
		for n := range 4 {
			v := 0.0036 + 0.0001*float64(n%3) + 0.00005*float64(i)
			k.Trials = append(k.Trials, trials.Row{
				Bench: name, Spring: "spring S-4", Bob: "brass bob", Counts: true,
				CycleLoss: &energy.Estimate{Value: v, U: 0.0002}, Period: &energy.Estimate{Value: 0.63, U: 0.001},
				Shared: map[string][]trials.Effect{trials.KeyCycleLoss: {{Source: "scale at " + name, By: 0.00005}}, trials.KeyPeriod: {}},
			})
		}
		if err := kept.Write(dir, k); err != nil {
			t.Fatal(err)
		}
		paths = append(paths, path)
	}
	return paths
}

// withClass gives a site the folders of a class.
func withClass(t testing.TB, paths []string) func(*Options, *net.Listener) {
	return func(o *Options, _ *net.Listener) {
		b, err := collect.OpenBenches(paths)
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { b.Close() })
		o.Class = b
	}
}

// The groups of all benches beside each other, as described; a sealed bench shows none.
func TestClass(t *testing.T) {
	paths := classOf(t, "Tamar", "Severn", "Tees")
	s := newSite(t, withClass(t, paths))
	d := readDocument(t)
	look := func() (c struct {
		Benches    []collect.Bench
		Quantities []struct {
			Key    string
			Mean   *float64
			Groups []struct{ Label, Bench string }
		}
	}) {
		t.Helper()
		_, data := s.want(t, http.StatusOK, "GET", "/api/class", "")
		var value any
		if json.Unmarshal(data, &value) != nil || json.Unmarshal(data, &c) != nil {
			t.Fatalf("%s", data)
		}
		d.hold(t, "/api/class", d.Paths["/api/class"]["get"].Responses["200"].Content["application/json"].Schema, value)
		if strings.Contains(string(data), filepath.Dir(paths[0])) {
			t.Errorf("the answer tells where on the disk the folders lie: %s", data)
		}
		return c
	}
	c := look()
	if len(c.Benches) != 3 || len(c.Quantities) != 2 || c.Quantities[0].Key != trials.KeyCycleLoss || len(c.Quantities[0].Groups) != 3 || c.Quantities[0].Mean == nil {
		t.Errorf("%+v", c)
	}
	if err := os.WriteFile(filepath.Join(paths[1], "series.json"), []byte(`{"version":1,"sealed":true}`), 0o644); err != nil {
		t.Fatal(err)
	}
	c = look()
	if !c.Benches[1].Sealed || len(c.Quantities[0].Groups) != 2 {
		t.Errorf("%+v", c)
	}
	_, table := s.want(t, http.StatusOK, "GET", "/api/class.csv", "")
	if text := string(table); strings.Count(text, "\n") != 4 || !strings.Contains(text, "\nTees,Tees,4,0.0037") || strings.Contains(text, "Severn") {
		t.Errorf("%s", text)
	}
	s.want(t, http.StatusOK, "GET", "/class", "")
}

// Nothing was named, nothing is read.
func TestNoClass(t *testing.T) {
	s := newSite(t)
	for _, path := range []string{"/api/class", "/api/class.csv"} {
		if _, data := s.want(t, http.StatusNotFound, "GET", path, ""); !strings.Contains(string(data), "serve --class FOLDER") {
			t.Errorf("%s: %s", path, data)
		}
	}
}

// ClassSite serves the folders of a class to the tests that drive a browser.
func ClassSite(t testing.TB, names ...string) (host string, paths []string) {
	paths = classOf(t, names...)
	return newSite(t, withClass(t, paths)).host, paths
}
