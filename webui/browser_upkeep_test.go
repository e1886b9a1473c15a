package webui_test

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"joulewell/daq/setup"
	"joulewell/daq/upkeep"
	"joulewell/daq/virtual"
)

// fill types into fields, by their ids.
func (b tab) fill(fields map[string]string) {
	b.Helper()
	for id, text := range fields {
		get[bool](b, fmt.Sprintf("(document.getElementById(%q).value = %q, true)", id, text))
	}
}

func (b tab) press(id string) {
	b.Helper()
	get[bool](b, fmt.Sprintf("(document.getElementById(%q).click(), true)", id))
}

// A technician at the Upkeep page: a spring by typed lengths, with a slip that is refused
// and one that is taken back, ends in the book; then the load cell of the virtual bench,
// whose readings must rest before they can be taken, is kept as checks.
func TestUpkeepPage(t *testing.T) {
	b, console := openTab(t)
	dir := t.TempDir()
	d := startDemo(t, "127.0.0.1:0", dir, virtual.Default())
	b.shape(1280, 900)
	b.do(chromedp.Navigate("http://" + d.address + "/upkeep"))
	b.until("document.querySelector('#begin-spring') !== null")

	b.press("begin-spring")
	b.until("!document.querySelector('#session').hidden")
	rows := "document.querySelectorAll('#points tbody tr').length"
	take := func(load, rule string, points int) {
		t.Helper()
		b.fill(map[string]string{"load": load, "rule": rule})
		b.press("take")
		b.until(fmt.Sprintf("%s === %d", rows, points))
	}
	b.fill(map[string]string{"load": "100 g", "rule": "12 kg"})
	b.press("take")
	b.until("document.querySelector('#take-refusal').textContent.includes('unit of mass')")
	take("100.0 g", "157 mm", 1)
	take("200.0 g", "197,1 mm", 2)
	take("250.0 g", "300 mm", 3)
	b.press("undo")
	b.until(rows + " === 2")
	take("300.0 g", "236.6 mm", 3)
	take("400.0 g", "276.5 mm", 4)
	b.until("document.querySelectorAll('#residuals circle').length === 4")
	b.picture("upkeep-session")
	b.breaches("session")
	b.fill(map[string]string{"by": "technician"})
	b.press("finish")
	b.until("document.querySelector('#confirm').open")
	b.press("confirm-yes")
	b.until("document.querySelector('#told').textContent.startsWith('Written')")
	book, err := upkeep.Load(filepath.Join(dir, setup.Book))
	if err != nil || len(book) != 1 || book[0].By != "technician" || len(book[0].Points) != 4 {
		t.Fatalf("book %+v, %v", book, err)
	}
	if rate := d.bench.Setup().Apparatus.Spring.Rate.Value; rate < 24 || rate > 25.2 {
		t.Errorf("the bench goes by %g N/m, want about 24.6", rate)
	}
	if text := b.text("#kind-spring"); !strings.Contains(text, "stands") || !strings.Contains(text, "technician") {
		t.Errorf("the spring's card reads %q", text)
	}

	b.press("begin-force")
	b.until("!document.querySelector('#session').hidden && document.querySelector('#steadiness').dataset.steady === 'no'")
	b.fill(map[string]string{"load": "100.0 g"})
	b.press("arrange")
	b.until("document.querySelector('#steadiness').dataset.steady === 'yes'")
	b.press("take")
	b.until(rows + " === 1")
	b.press("keep")
	b.until("document.querySelector('#confirm').open")
	b.press("confirm-yes")
	b.until("document.querySelectorAll('#checks article').length === 1")

	for _, look := range []string{"light", "dark"} {
		scheme := &emulation.MediaFeature{Name: "prefers-color-scheme", Value: look}
		for _, page := range []string{"upkeep", "balance"} {
			b.do(chromedp.Navigate("http://" + d.address + "/" + page))
			b.shape(1920, 1080, scheme)
			b.until("document.querySelectorAll('article, fieldset').length > 2")
			b.picture(page + "-projector-" + look)
			b.breaches(page + ", " + look)
			b.shape(390, 844, scheme)
			if wide := get[bool](b, "document.documentElement.scrollWidth > innerWidth"); wide {
				t.Errorf("%s is wider than a phone", page)
			}
			b.picture(page + "-phone-" + look)
		}
	}
	if lines := console.complaints("/api/upkeep/take"); len(lines) > 0 { // the refusal above is reported by the browser
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
}

// Two heights typed on the Balance page, one with a decimal comma, make a verdict; a unit
// that does not do is refused at its field.
func TestBalancePage(t *testing.T) {
	b, console := openTab(t)
	d := startDemo(t, "127.0.0.1:0", t.TempDir(), virtual.Default())
	b.shape(1280, 900)
	b.do(chromedp.Navigate("http://" + d.address + "/balance"))
	b.until("document.querySelector('#reading-start-height') !== null")
	b.fill(map[string]string{"reading-start-height": "80 kg", "reading-end-height": "62,5 cm"})
	b.press("compare")
	b.until("document.querySelector('#refusal-start-height').textContent.includes('unit of mass')")
	b.fill(map[string]string{"reading-start-height": "80.0 cm"})
	b.press("compare")
	b.until("!document.querySelector('#result').hidden && document.querySelectorAll('#energies tbody tr').length >= 5")
	if verdict := b.text("#verdict"); !strings.Contains(verdict, "mJ") && !strings.Contains(verdict, " J") {
		t.Errorf("verdict %q", verdict)
	}
	b.picture("balance-result")
	b.breaches("result")
	const bench = `document.querySelectorAll('[data-old="true"] [data-bench="true"]').length`
	b.until(`!document.querySelector('#virtual').hidden && ` + bench + ` === 0`)
	if lines := console.complaints("/api/balance"); len(lines) > 0 {
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}

	// While the daemon is away what the bench gave is marked as old, what was typed is not.
	d.stop()
	b.until(`!document.querySelector('#old').hidden && ` + bench + ` > 5`)
	if get[bool](b, `document.querySelector('#reading-start-height').dataset.bench === 'true'`) {
		t.Error("a height that was typed is marked as the bench's")
	}
	get[bool](b, `(document.querySelector('#old').scrollIntoView(), true)`)
	b.picture("balance-old")
	startDemo(t, d.address, t.TempDir(), virtual.Default())
	b.until(`document.querySelector('#old').hidden && ` + bench + ` === 0`)
}
