package webui_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"joulewell/daq/virtual"
)

// TestShowPage watches the Show page in a real browser, on the daemon and the virtual
// bench. The parts follow one another in one tab.
func TestShowPage(t *testing.T) {
	b, console := openTab(t)
	dir := t.TempDir()
	drops := virtual.Default()
	drops.Hand.Period = 12 // so that nobody waits long for a release
	d := startDemo(t, "127.0.0.1:0", dir, drops)
	b.shape(1920, 1080)
	b.do(chromedp.Navigate("http://" + d.address + "/"))
	b.until(`document.body.dataset.values === 'good' && document.querySelector('.total .value').textContent !== '–'`)

	part := func(name string, check func(tab)) {
		t.Run(name, func(t *testing.T) { check(tab{t, b.ctx}) })
	}
	part("energies move and add up", energiesMove)
	part("bench and virtual badge", func(b tab) {
		if bench, badge := b.text("#bench"), get[bool](b, "document.querySelector('#virtual').offsetHeight > 0"); bench != "Tamar" || !badge {
			b.Errorf("bench %q, badge seen: %v", bench, badge)
		}
	})
	part("calibration", func(b tab) {
		if text := b.text("#calibrated"); !strings.HasPrefix(text, "calibrated ") {
			b.Errorf("the age of the calibration reads %q", text)
		}
	})
	part("numbers by locale", func(b tab) { locale(b, d) })
	part("freeze and step", freezeAndStep)
	part("slow motion", slowMotion)
	part("each part fills the page by one key", parts)
	part("sketch before a release", func(b tab) { sketch(b, d) })
	part("help and panels", helpAndPanels)
	part("run", func(b tab) { recordRun(b, d) })
	part("keyboard reaches every control", tabThrough)
	part("pictures of the page", pictures)
	part("accessibility", accessibility)
	part("calm", calm)
	if lines := console.complaints(); len(lines) > 0 {
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
	part("loss and return of the daemon", func(b tab) { lossAndReturn(b, d, dir) })
	// While the daemon is away the browser itself reports each attempt to reach it.
	if lines := console.complaints("/live"); len(lines) > 0 {
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
}

// energiesMove waits for changing values and holds the sum of the parts against the total.
func energiesMove(b tab) {
	seen := map[string]bool{}
	for len(seen) < 5 {
		last := b.text(".kinetic .value")
		seen[last] = true
		b.until(fmt.Sprintf("document.querySelector('.kinetic .value').textContent !== %q", last))
	}
	// The figures are written together, from one reading, and add up as printed.
	for range 5 {
		v := get[[]float64](b, figures)
		if len(v) < 4 || !(v[3] > 0) || math.Abs(v[0]+v[1]+v[2]-v[3]) > 1e-9 {
			b.Errorf("kinetic, elastic, gravitational, total: %v: the parts are not the total", v)
		}
		b.until(fmt.Sprintf("%s !== %q", readouts, get[string](b, readouts)))
	}
	for _, text := range get[[]string](b, `[...document.querySelectorAll('meter')].map((m) => m.getAttribute('aria-valuetext'))`) {
		if !strings.Contains(text, "joules, plus or minus") {
			b.Errorf("a screen reader hears %q", text)
		}
	}
	if ink := get[float64](b, `(() => {
		const ground = getComputedStyle(document.body).backgroundColor.match(/\d+/g).map(Number);
		const d = `+pixels(`document.querySelector('#energies')`)+`;
		let ink = 0;
		for (let i = 0; i < d.length; i += 4) if (Math.abs(d[i] - ground[0]) + Math.abs(d[i + 1] - ground[1]) > 60) ink++;
		return ink / (d.length / 4);
	})()`); ink < 0.005 {
		b.Errorf("%.4f of the strip is drawn on", ink)
	}
}

// locale has the browser speak another language, and back.
func locale(b tab, d *demo) {
	set := func(locale string) {
		b.Helper()
		if _, err := chromedp.Call(b.ctx, emulation.SetLocaleOverride, emulation.SetLocaleOverrideParams{Locale: locale}); err != nil {
			b.Fatal(err)
		}
		b.do(chromedp.Navigate("http://" + d.address + "/"))
		b.until(good)
	}
	set("de-DE")
	if value := b.text(".total .value"); !strings.Contains(value, ",") {
		b.Errorf("in German the total reads %q", value)
	}
	set("")
	if value := b.text(".total .value"); !strings.Contains(value, ".") {
		b.Errorf("in English the total reads %q", value)
	}
}

const figures = `[...document.querySelectorAll('#sum .value')].map((e) => Number(e.textContent.replace('\u2212', '-')))`

const meters = `[...document.querySelectorAll('meter')].map((m) => m.value)`

const readouts = `[...document.querySelectorAll('#sum .value')].map((e) => e.textContent).join(' ')`

// sameUntil100More reports the readouts now and after a hundred more readings.
func sameUntil100More(b tab) (before, after string) {
	const seq = `fetch('/api/status').then((r) => r.json()).then((s) => s.seq)`
	before = get[string](b, readouts)
	for from := get[float64](b, seq); get[float64](b, seq) < from+100; {
	}
	return before, get[string](b, readouts)
}

func freezeAndStep(b tab) {
	b.do(chromedp.Click(chromedp.CSS("#freeze")))
	b.until(`document.body.dataset.frozen === 'true' && document.querySelector('#link').textContent.startsWith('frozen at')`)
	before, after := sameUntil100More(b)
	if before != after {
		b.Errorf("frozen, the readouts went from %s to %s", before, after)
	}
	b.picture("show-frozen")
	const at = `Number(document.querySelector('#step').value)`
	newest := get[float64](b, at)
	b.do(chromedp.Focus(chromedp.CSS("#step")), chromedp.KeyEvent(kb.ArrowLeft), chromedp.KeyEvent(kb.ArrowLeft))
	if got := get[float64](b, at); got != newest-2 {
		b.Errorf("two steps back from %v: %v", newest, got)
	}
	b.do(chromedp.KeyEvent(kb.PageDown)) // the turning point before, or the oldest reading
	b.until(fmt.Sprintf("%s < %v && %s !== %q", at, newest-2, readouts, before))
	b.do(chromedp.KeyEvent(kb.Escape))
	b.until(`document.body.dataset.frozen === 'false'`)
	b.until(fmt.Sprintf("%s !== %q", readouts, get[string](b, readouts)))
}

func recordRun(b tab, d *demo) {
	b.do(chromedp.SendKeys(chromedp.CSS("#note"), "spring S-4, first drop"), chromedp.Click(chromedp.CSS("#run")))
	b.until(`/^recording .* [1-9]\d* rows?/.test(document.querySelector('#run-state').textContent)`)
	b.until(`document.querySelector('#run').textContent === 'Stop run'`)
	b.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`), chromedp.KeyEvent("t"))
	b.until(`document.querySelector('#link').textContent.endsWith('×1/10')`)
	for from := d.bench.Status().Run.Rows; d.bench.Status().Run.Rows < from+50; { // recording goes on
		b.text("#run-state")
	}
	b.do(chromedp.KeyEvent(kb.Escape))
	b.do(chromedp.Focus(chromedp.CSS("#run")), chromedp.KeyEvent(kb.Enter)) // the bar below may move meanwhile
	// The answer comes once the file is closed.
	b.until(`/^recorded /.test(document.querySelector('#run-state').textContent) && !document.querySelector('#run').disabled`)
	runs, err := d.bench.Runs()
	if err != nil || len(runs) != 1 || !strings.Contains(b.text("#run-state"), runs[0].Name) {
		b.Errorf("the page says %q, the bench has %v, %v", b.text("#run-state"), runs, err)
	}
}

func tabThrough(b tab) {
	b.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur(); document.body.focus()`))
	var order []string
	for range 30 {
		b.do(chromedp.KeyEvent(kb.Tab))
		here := get[string](b, `(() => { const e = document.activeElement; return e.id || e.parentElement?.id || e.tagName })()`)
		if !slices.Contains(order, here) {
			order = append(order, here)
		}
	}
	for _, want := range []string{"freeze", "speeds", "part", "count", "run", "note", "ledger", "arrange", "help-open"} {
		if !slices.Contains(order, want) {
			b.Errorf("Tab reaches %v, not %s", order, want)
		}
	}
}

// pictures looks at the page in each size and ground, and that nothing is cut off.
func pictures(b tab) {
	feature := func(name, value string) *emulation.MediaFeature {
		return &emulation.MediaFeature{Name: name, Value: value}
	}
	// Nothing under the pointer or in focus.
	b.do(chromedp.MouseEvent(chromedp.MouseMoved, 960, 500), chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`))
	// A full strip, and something lost already.
	b.until(`performance.now() > 13e3 && /^0?[.,]?\d/.test(document.querySelector('.lost .value').textContent)`)
	for _, size := range []struct {
		name          string
		width, height int64
	}{{"projector", 1920, 1080}, {"laptop", 1366, 768}, {"phone", 390, 844}, {"zoomed", 320, 640}} {
		for _, ground := range []string{"light", "dark"} {
			b.shape(size.width, size.height, feature("prefers-color-scheme", ground))
			b.picture("show-" + size.name + "-" + ground)
			if path := os.Getenv("JOULEWELL_PICTURE"); path != "" && size.name == "projector" && ground == "light" {
				b.shoot(path)
			}
		}
		cut := get[[]string](b, `[...document.querySelectorAll('h1, header p, .label, .value, .unit, .below, button, summary, li, #safety')]
			.filter((e) => e.offsetHeight && (e.getBoundingClientRect().right > innerWidth + 0.5 || e.getBoundingClientRect().left < 0))
			.map((e) => e.textContent)`)
		if len(cut) > 0 {
			b.Errorf("%s: cut off: %q", size.name, cut)
		}
		if over := get[[]string](b, `[...document.querySelectorAll('.cell')].flatMap((cell) => [...cell.querySelectorAll('.label, .figure, .below')].filter((e) => {
			const text = document.createRange();
			text.selectNodeContents(e);
			return text.getBoundingClientRect().right > cell.getBoundingClientRect().right + 0.5;
		})).map((e) => e.textContent)`); len(over) > 0 {
			b.Errorf("%s: wider than its place: %q", size.name, over)
		}
		// What the readings are worth is in sight wherever one reads.
		for _, mark := range get[[]string](b, `(scrollTo(0, 1e6), ['#virtual', '#link', '#calibrated'].filter((id) => {
			const r = document.querySelector(id).getBoundingClientRect();
			return !(r.height > 0 && r.top >= 0 && r.bottom <= innerHeight);
		}))`) {
			b.Errorf("%s: at the end of the page %s is out of sight", size.name, mark)
		}
		get[bool](b, "(scrollTo(0, 0), true)")
		if down := get[float64](b, "document.documentElement.scrollHeight - innerHeight"); size.width > 400 && down > 0 {
			b.Errorf("%s: the page is %v px higher than the window", size.name, down)
		}
		if small := get[[]string](b, `[...document.querySelectorAll('button, summary, input, select')].filter((e) => e.offsetHeight)
			.filter((e) => e.offsetHeight < 24 || e.offsetWidth < 24).map((e) => e.id || e.textContent)`); len(small) > 0 {
			b.Errorf("%s: smaller than 24 px: %q", size.name, small)
		}
	}
	b.shape(1920, 1080, feature("forced-colors", "active"))
	b.picture("show-forced-colors")
	b.shape(1920, 1080)
}

// calm: who asks for less motion sees turning points, where next to nothing is kinetic.
func calm(b tab) {
	b.shape(1920, 1080, &emulation.MediaFeature{Name: "prefers-reduced-motion", Value: "reduce"})
	for range 5 {
		b.until(fmt.Sprintf("%s !== %q", readouts, get[string](b, readouts)))
		if v := get[[]float64](b, meters); v[0] > 0.05*v[3] {
			b.Errorf("kinetic %v J of %v J: not a turning point", v[0], v[3])
		}
	}
	b.picture("show-calm")
	b.shape(1920, 1080)
}

// lossAndReturn stops the daemon and starts another on the same address, of another bench.
func lossAndReturn(b tab, d *demo, dir string) {
	stopped := time.Now()
	d.stop()
	b.until(`document.body.dataset.values === 'stale' && document.querySelector('#halt').offsetHeight > 0`)
	b.Logf("the page told of the loss %v after the daemon was told to stop", time.Since(stopped).Round(time.Millisecond))
	if title := b.text("#halt-title"); !strings.HasPrefix(title, "no readings since ") {
		b.Errorf("across the pictures stands %q", title)
	}
	if line := get[string](b, `getComputedStyle(document.querySelector('.total .figure')).textDecorationLine`); line != "line-through" {
		b.Errorf("old values are decorated with %q, not struck out", line)
	}
	b.picture("show-no-readings")
	startDemo(b.TB, d.address, dir, virtual.Quiet(200))
	b.until(`document.querySelector('#bench').textContent === 'Severn'`)
	b.until(`document.body.dataset.values === 'good' && document.querySelector('#halt').offsetHeight === 0`)
	b.until(fmt.Sprintf("%s !== %q", readouts, get[string](b, readouts)))
}
