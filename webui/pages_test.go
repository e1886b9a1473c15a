package webui

import (
	"net/http"
	"path"
	"strings"
	"testing"
	"testing/fstest"
)

func TestPages(t *testing.T) {
	s := newSite(t)
	answer, data := s.do(t, "GET", "/", "")
	if answer.StatusCode != http.StatusOK || !strings.Contains(string(data), "<!doctype html>") {
		t.Fatalf("/ is answered by %d %.100s", answer.StatusCode, data)
	}
	for name, f := range s.pages.files {
		answer, data := s.do(t, "GET", "/assets/"+name, "")
		if answer.StatusCode != http.StatusOK || string(data) != string(f.data) {
			t.Errorf("%s: %d, %d bytes", name, answer.StatusCode, len(data))
		}
		if typ := answer.Header.Get("Content-Type"); typ != mediaTypes[path.Ext(name)] {
			t.Errorf("%s: type %s", name, typ)
		}
		fixed, data := s.do(t, "GET", "/assets/"+s.pages.version+"/"+name, "")
		if cache := fixed.Header.Get("Cache-Control"); string(data) != string(f.data) || !strings.Contains(cache, "immutable") {
			t.Errorf("%s by its version: %d bytes, to be kept %q", name, len(data), cache)
		}
		old, data := s.do(t, "GET", "/assets/0123456789abcdef/"+name, "")
		if cache := old.Header.Get("Cache-Control"); string(data) != string(f.data) || cache != "no-cache" {
			t.Errorf("%s by another version: %d bytes, to be kept %q", name, len(data), cache)
		}
		again, data := s.do(t, "GET", "/assets/"+name, "", "If-None-Match", answer.Header.Get("ETag"))
		if again.StatusCode != http.StatusNotModified || len(data) != 0 {
			t.Errorf("%s: asked with its ETag it is answered by %d", name, again.StatusCode)
		}
	}
}

// Every file that a page names exists, and nothing is loaded from outside or inlined:
// the content policy would stop it.
func TestPagesNameWhatExists(t *testing.T) {
	s := newSite(t, withTrials)
	for name, f := range s.pages.files {
		if path.Ext(name) != ".html" {
			continue
		}
		text := string(f.data)
		for _, attribute := range []string{`src="`, `href="`} {
			for _, rest := range strings.Split(text, attribute)[1:] {
				target, _, _ := strings.Cut(rest, `"`)
				if strings.HasPrefix(target, "#") {
					continue
				}
				if answer, _ := s.do(t, "GET", target, ""); answer.StatusCode != http.StatusOK {
					t.Errorf("%s names %s, which is answered by %d", name, target, answer.StatusCode)
				}
			}
		}
		for _, inline := range []string{"<style", " style=", " onclick=", "<script>", "javascript:"} {
			if strings.Contains(text, inline) {
				t.Errorf("%s contains %s, which the content policy stops", name, inline)
			}
		}
	}
}

func TestReadPages(t *testing.T) {
	if _, err := readPages(fstest.MapFS{"a.exe": {}}); err == nil || !strings.Contains(err.Error(), "a.exe") {
		t.Errorf("a file of unknown kind: %v", err)
	}
	p, err := readPages(fstest.MapFS{"a.js": {Data: []byte("1")}, "deep/b.js": {Data: []byte("1")}, "c.js": {Data: []byte("2")}})
	if err != nil || len(p.files) != 3 {
		t.Fatalf("%d files, %v", len(p.files), err)
	}
	if a, b, c := p.files["a.js"], p.files["deep/b.js"], p.files["c.js"]; a.etag != b.etag || a.etag == c.etag {
		t.Error("equal contents must have equal tags, others other ones")
	}
}

// A page names all that its script leads to, so that a browser need not find it bit by bit.
func TestPagesNameTheirModules(t *testing.T) {
	p, err := readPages(fstest.MapFS{
		"a.html": {Data: []byte("<head>\n  <script type=\"module\" src=\"/assets/a.js\"></script>\n</head>")},
		"a.js":   {Data: []byte("// import './never.js'\nimport {\n  b,\n} from './b.js';\nimport './c.js';\nconst late = () => import('./late.js');\n")},
		"b.js":   {Data: []byte("export { c } from './c.js';\nimport { a } from './a.js';\n")},
		"c.js":   {Data: []byte("export const c = 1;\n")},
	})
	if err != nil {
		t.Fatal(err)
	}
	want := strings.ReplaceAll("<head>\n  <script type=\"module\" src=\"/assets/VERSION/a.js\"></script>\n"+
		"  <link rel=\"modulepreload\" href=\"/assets/VERSION/b.js\">\n  <link rel=\"modulepreload\" href=\"/assets/VERSION/c.js\">\n</head>", "VERSION", p.version)
	if got := string(p.files["a.html"].data); got != want {
		t.Errorf("the page reads %s", got)
	}
	_, err = readPages(fstest.MapFS{
		"a.html": {Data: []byte("  <script type=\"module\" src=\"/assets/a.js\"></script>\n")},
		"a.js":   {Data: []byte("import './gone.js';\n")},
	})
	if err == nil || !strings.Contains(err.Error(), "a.js") || !strings.Contains(err.Error(), "gone.js") {
		t.Errorf("a script that is not there: %v", err)
	}
}
