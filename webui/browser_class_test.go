package webui_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"joulewell/daq/virtual"
	"joulewell/webui"
)

// The Class page shows every group with its uncertainty, light and dark, on a projector and
// a telephone, without a breach of the rules of access; a bench that is sealed since goes
// at the next look.
func TestClassPage(t *testing.T) {
	host, paths := webui.ClassSite(t, "Tamar", "Severn", "Tees")
	b, console := openTab(t)
	b.do(chromedp.Navigate("http://" + host + "/class"))
	groups := "document.querySelectorAll('#quantities section:first-child tbody tr').length"
	b.until(groups + " === 3")
	if says := b.text("#quantities .says"); !strings.Contains(says, "3 groups agree") {
		t.Errorf("it says %q", says)
	}
	if name := get[string](b, "document.querySelector('#quantities svg').getAttribute('aria-label')"); !strings.Contains(name, "3 groups") {
		t.Errorf("the chart is called %q", name)
	}
	for _, look := range []string{"light", "dark"} {
		scheme := &emulation.MediaFeature{Name: "prefers-color-scheme", Value: look}
		b.shape(1920, 1080, scheme)
		b.picture("class-projector-" + look)
		b.breaches("class, " + look)
		b.shape(390, 844, scheme)
		if get[bool](b, "document.documentElement.scrollWidth > innerWidth") {
			t.Error("the page is wider than a phone")
		}
		b.picture("class-phone-" + look)
		b.breaches("class on a phone, " + look)
	}
	if err := os.WriteFile(filepath.Join(paths[0], "series.json"), []byte(`{"version":1,"sealed":true}`), 0o644); err != nil {
		t.Fatal(err)
	}
	b.press("again")
	b.until(groups + " === 2 && document.querySelector('#benches').textContent.includes('sealed')")
	if size := get[float64](b, "performance.getEntriesByType('resource').concat(performance.getEntriesByType('navigation')).reduce((n, e) => n + e.decodedBodySize, 0)"); size > 150e3 || size < 1e3 {
		t.Errorf("the page is of %.0f bytes, want at most 150000", size)
	}
	if lines := console.complaints(); len(lines) > 0 {
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
}

// Where no folders were named the page says how to name them, and nothing besides.
func TestClassPageWithoutFolders(t *testing.T) {
	b, _ := openTab(t)
	d := startDemo(t, "127.0.0.1:0", t.TempDir(), virtual.Default())
	b.shape(1366, 768)
	b.do(chromedp.Navigate("http://" + d.address + "/class"))
	b.until(`document.querySelector('#refusal').textContent.includes('serve --class')`)
	if seen := get[[]string](b, `[...document.querySelectorAll('main h2, main p, main table, main button')].filter((e) => e.checkVisibility() && e.textContent).map((e) => e.id || e.textContent)`); len(seen) != 1 || seen[0] != "refusal" {
		t.Errorf("besides, the page shows %q", seen)
	}
	b.picture("class-without-folders")
	b.breaches("without folders")
}
