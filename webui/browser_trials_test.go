package webui_test

import (
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/performance"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"joulewell/daq/source"
	"joulewell/daq/trials"
	"joulewell/daq/trials/kept"
	"joulewell/daq/virtual"
	"joulewell/energy"
)

// repeating is a bench whose hand lets go every few seconds.
func repeating() virtual.Config {
	c := virtual.Default()
	c.Spring.Coils = 12
	c.Hand.Hold, c.Hand.Carry, c.Hand.Period = 1.2, 0.5, 6.7
	return c
}

// twice goes twice as fast as the host's clock.
func twice() source.Clock {
	clock := source.NewClock()
	return func() time.Duration { return 2 * clock() }
}

const trialRows = `[...document.querySelectorAll('#trials > tbody > tr:not(.detail)')]`

// A student at the Trials page arms the round once: two trials come by themselves. One is
// left out, the results are sealed and with them every energy, and open again when a group
// has handed in its figures.
func TestTrialsPage(t *testing.T) {
	b, console := openTab(t)
	d := startDemoBy(t, "127.0.0.1:0", t.TempDir(), repeating(), twice())
	b.shape(1366, 768)
	b.do(chromedp.Navigate("http://" + d.address + "/trials"))
	b.until(`document.querySelector('#state-text').textContent === 'not armed' && document.querySelector('#link').textContent === 'live'`)
	get[bool](b, `(window.words = [], ['#state-text', '#speech'].forEach((id) => new MutationObserver(() => words.push(document.querySelector(id).textContent))
		.observe(document.querySelector(id), { childList: true, characterData: true, subtree: true })), true)`)
	b.picture("trials-empty")
	b.breaches("no trials")

	b.fill(map[string]string{"cycles": "2", "group": "window"})
	b.press("arm")
	b.until(`document.querySelector('#arm-refusal').textContent.includes('3 whole swings')`)
	b.fill(map[string]string{"cycles": "3", "seconds": "7,5"})
	b.press("arm")
	b.until(`document.querySelector('#arm').textContent === 'Disarm' && document.querySelector('#seconds').value === '7.5'`)
	b.until(`document.querySelector('#state').dataset.look === 'under-way'`)
	b.picture("trials-recording")
	b.until(trialRows + `.length >= 2`)
	b.until(`words.some((w) => w.startsWith('Trial 2 counts. Loss of the first fall:'))`) // spoken
	if words := get[[]string](b, `words`); !slices.Contains(words, "ready") || !slices.Contains(words, "recording") {
		t.Errorf("the round went through %q", words)
	}
	b.press("arm")
	b.until(`document.querySelector('#arm').textContent === 'Arm'`) // a slow machine may have got a third one

	part := func(name string, check func(tab)) {
		t.Run(name, func(t *testing.T) { check(tab{t, b.ctx}) })
	}
	part("overrule", overrule)
	part("chart by keys", chartByKeys)
	part("keyboard reaches every control", tabThroughTrials)
	part("pictures", trialsPictures)
	part("sealed, handed in, open", sealAndHandIn)
	if lines := console.complaints("/api/trials"); len(lines) > 0 { // refusals are reported by the browser
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
}

// second is the row of the second trial.
const second = trialRows + `.find((row) => row.querySelector('.open').getAttribute('aria-label') === 'Trial 2')`

const counted = `Number(document.querySelector('#tally').textContent.match(/(\d+) of them/)[1])`

// overrule leaves out the second trial; its button keeps the focus.
func overrule(b tab) {
	b.until(second + `.dataset.counts === 'true' && document.querySelectorAll('#chart .point').length >= 2`)
	get[bool](b, fmt.Sprintf(`(%s.querySelector('.overrule').focus(), true)`, second))
	b.do(chromedp.KeyEvent(kb.Enter))
	b.until(second + `.dataset.counts === 'false' && document.querySelector('#chart g[aria-label^="Trial 2:"] .hollow') !== null`)
	if text := get[string](b, second+`.querySelector('.verdict').textContent`); !strings.Contains(text, "left out, by your word") {
		b.Errorf("the verdict reads %q", text)
	}
	if !get[bool](b, `document.activeElement === `+second+`.querySelector('.overrule') && document.activeElement.textContent === 'count it'`) {
		b.Error("the focus was lost")
	}
	b.until(counted + ` === ` + trialRows + `.filter((row) => row.dataset.counts === 'true').length`)
}

// chartByKeys goes from trial to trial in the chart and opens the oldest one.
func chartByKeys(b tab) {
	const here = `document.activeElement.getAttribute('aria-label')`
	get[bool](b, `(document.querySelector('#unit').focus(), true)`)
	b.do(chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Home), chromedp.KeyEvent(kb.ArrowRight))
	if name := get[string](b, here); !strings.HasPrefix(name, "Trial 2: loss of the first fall ") || !strings.HasSuffix(name, "; does not count") {
		b.Errorf("Tab, Home and one to the right lead to %q", name)
	}
	b.do(chromedp.KeyEvent(kb.ArrowLeft), chromedp.KeyEvent(kb.Enter))
	b.until(here + ` === 'Trial 1' && document.activeElement.getAttribute('aria-expanded') === 'true'`)
	if rows := get[int](b, `document.querySelectorAll('.detail tbody tr').length`); rows != 3 {
		b.Errorf("the trial is shown in %d states", rows)
	}
}

// tabThroughTrials goes through the page by Tab alone.
func tabThroughTrials(b tab) {
	get[bool](b, `(document.activeElement.blur(), scrollTo(0, 0), true)`)
	var seen []string
	for range 90 {
		b.do(chromedp.KeyEvent(kb.Tab))
		seen = append(seen, get[string](b, `(() => { const e = document.activeElement; return e.id || e.getAttribute('class') || e.tagName })()`))
	}
	for _, want := range []string{"cycles", "seconds", "floor", "arm", "group", "set-group", "quantity", "unit", "csv", "trials-box", "open", "overrule",
		"sheet-trial", "digits", "sheet-link", "key-link", "seal", "hand-trial", "hand-group", "blank-lost", "hand"} {
		if !slices.Contains(seen, want) {
			b.Errorf("Tab reaches %q, not %s", slices.Compact(seen), want)
		}
	}
}

// trialsPictures looks at the page in each size and ground.
func trialsPictures(b tab) {
	for _, look := range []string{"light", "dark"} {
		scheme := &emulation.MediaFeature{Name: "prefers-color-scheme", Value: look}
		for _, size := range []struct {
			name          string
			width, height int64
		}{{"projector", 1920, 1080}, {"laptop", 1366, 768}, {"phone", 390, 844}} {
			b.shape(size.width, size.height, scheme)
			get[bool](b, `(scrollTo(0, 0), true)`)
			b.picture("trials-" + size.name + "-" + look)
			get[bool](b, `(document.querySelector('#trials-title').scrollIntoView(), true)`)
			b.picture("trials-table-" + size.name + "-" + look)
			if wide := get[bool](b, "document.documentElement.scrollWidth > innerWidth"); wide {
				b.Errorf("%s: the page is wider than the window", size.name)
			}
			if small := get[[]string](b, `[...document.querySelectorAll('button, summary, input, select')].filter((e) => e.offsetHeight)
				.filter((e) => e.offsetHeight < 24 || e.offsetWidth < 24).map((e) => e.id || e.textContent)`); len(small) > 0 {
				b.Errorf("%s: smaller than 24 px: %q", size.name, small)
			}
		}
		b.breaches("trials, " + look)
	}
	b.shape(1366, 768, &emulation.MediaFeature{Name: "forced-colors", Value: "active"})
	get[bool](b, `(scrollTo(0, 0), true)`)
	b.picture("trials-forced-colors")
	b.shape(1366, 768, &emulation.MediaFeature{Name: "forced-colors", Value: "none"})
}

// sealAndHandIn closes the results, holds that no energy is left on the page, and hands
// in what the key says, but for the loss.
func sealAndHandIn(b tab) {
	const energies = `[...document.querySelectorAll('#trials td')].map((e) => e.textContent).filter((s) => s.includes('±')).length`
	losses := get[[]string](b, `[...document.querySelectorAll('#trials > tbody > tr:not(.detail) > td')].map((e) => e.textContent).filter((s) => s.includes(' ± '))`)
	if len(losses) < 4 {
		b.Fatalf("of two trials the losses %q stand in the table", losses)
	}
	get[bool](b, `(['sheet-trial', 'hand-trial'].forEach((id) => {
		const select = document.getElementById(id);
		select.value = [...select.options].find((o) => o.text.startsWith('1, ')).value;
		select.dispatchEvent(new Event('change', { bubbles: true }));
	}), true)`)
	b.until(`(() => {
		const link = document.querySelector('#key-link');
		return !link.hidden && new URL(link.href).searchParams.get('run') === document.querySelector('#sheet-trial').value.split('#')[0];
	})()`)
	right := get[map[string]string](b, `fetch(document.querySelector('#key-link').href + '&form=json').then((r) => r.json())
		.then((sheet) => Object.fromEntries(sheet.key.items.map((i) => [i.id, (i.printed ? i.printed.replace('.', ',') + ' ' + i.unit : 'in the air')])))`)

	b.press("seal")
	b.until(`document.body.dataset.sealed === 'true' && document.querySelector('#statistics tbody') === null`)
	if left := get[[]string](b, `[...document.querySelectorAll('#trials, #chart, #statistics-box, #compared')].flatMap((e) => e.innerText.match(/±|mJ|, J|elastic|loss|decay/g) ?? [])`); len(left) > 0 {
		b.Errorf("sealed, the page still shows %q", left)
	}
	for _, loss := range append(losses, "Loss of the first fall") { // the latter was spoken
		if strings.Contains(get[string](b, `document.documentElement.outerHTML`), loss) {
			b.Errorf("sealed, the page still holds %s", loss)
		}
	}
	if status := get[int](b, `fetch('/api/trials.csv').then((r) => r.status)`); status != 423 || !get[bool](b, `document.querySelector('#csv').hidden && document.querySelector('#key-link').hidden`) {
		b.Errorf("sealed, the table of all trials is answered by %d", status)
	}
	b.picture("trials-sealed")
	b.breaches("sealed")

	right["lost"] = "123 J"
	for id, text := range right {
		b.until(fmt.Sprintf("document.getElementById(%q) !== null", "blank-"+id))
		b.fill(map[string]string{"blank-" + id: text})
	}
	b.press("hand")
	b.until(`!document.querySelector('#slips').hidden`)
	marks := get[map[string]string](b, `Object.fromEntries([...document.querySelectorAll('#marks tbody tr')].map((r) => [r.cells[0].textContent, r.cells[2].textContent]))`)
	good := 0
	for what, verdict := range marks {
		if strings.HasPrefix(verdict, "✓ right") {
			good++
		}
		if strings.HasPrefix(what, "energy lost: ") && !strings.HasPrefix(verdict, "✕") {
			b.Errorf("a loss of 123 J is said to be %q", verdict)
		}
	}
	if good < 5 || len(marks) != len(right) {
		b.Errorf("handed in as the key has it: %q", marks)
	}
	b.until(`document.body.dataset.sealed === 'false' && ` + energies + ` > 0`)
	b.picture("trials-handed-in")
	b.breaches("handed in")

	b.press("seal")
	b.until(`document.body.dataset.sealed === 'true'`)
	b.press("open")
	b.until(`document.querySelector('#confirm').open`)
	b.press("confirm-yes")
	b.until(`document.body.dataset.sealed === 'false'`)
}

// BenchmarkTrialsPage opens the page on a folder of a thousand trials, at 1366 x 768 and
// software drawing, and in turn, as the floor, on an empty one; figures are medians over
// -benchtime Nx. The browser has been started by then, and has seen nothing of either
// daemon; again is the page opened once more, as by who comes from another page. thread is what the page's main thread has worked, in processor time, from nothing
// to the first rows and to the last; wall is what the clock says until the first rows have
// been painted. Nothing passes or fails by a time.
func BenchmarkTrialsPage(b *testing.B) {
	tb, _ := openTab(b)
	_, err := chromedp.Call(tb.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: firstRows})
	if err != nil {
		b.Fatal(err)
	}
	tb.shape(1366, 768)
	open := func(n int) (first, all, wall, again float64) {
		dir := b.TempDir()
		keepTrials(b, dir, n)
		d := startDemo(b, "127.0.0.1:0", dir, virtual.Default())
		defer d.stop()
		visit := func() float64 {
			tb.do(chromedp.Navigate("http://" + d.address + "/trials"))
			tb.until(`window.firstRows > 0`)
			return get[float64](tb, `window.firstRows`)
		}
		tb.do(chromedp.Navigate("http://" + d.address + "/healthz"))
		worked(tb) // counts from here
		before := worked(tb)
		wall = visit()
		first = worked(tb) - before
		tb.until(fmt.Sprintf(`%s.length === %d && document.querySelectorAll('#chart g').length === %d`, trialRows, n, n))
		all = worked(tb) - before
		tb.do(chromedp.Navigate("http://" + d.address + "/healthz"))
		return first, all, wall, visit()
	}
	open(0)
	var first, all, wall, again, bareFirst, bareWall, bareAgain []float64
	for b.Loop() {
		f, _, w, g := open(0)
		bareFirst, bareWall, bareAgain = append(bareFirst, f), append(bareWall, w), append(bareAgain, g)
		f, a, w, g := open(1000)
		first, all, wall, again = append(first, f), append(all, a), append(wall, w), append(again, g)
	}
	b.ReportMetric(0, "ns/op")
	b.ReportMetric(quantile(first, 0.5), "ms-thread-first")
	b.ReportMetric(quantile(all, 0.5), "ms-thread-all")
	b.ReportMetric(quantile(bareFirst, 0.5), "ms-floor-thread-first")
	b.ReportMetric(quantile(wall, 0.5), "ms-wall-first")
	b.ReportMetric(quantile(wall, 0.9), "ms-wall-first-p90")
	b.ReportMetric(quantile(bareWall, 0.5), "ms-floor-wall-first")
	b.ReportMetric(quantile(again, 0.5), "ms-wall-again")
	b.ReportMetric(quantile(again, 0.9), "ms-wall-again-p90")
	b.ReportMetric(quantile(bareAgain, 0.5), "ms-floor-wall-again")
}

// firstRows notes when the frame in which the first rows stand, or the words that there
// are none, has been painted: what is most urgent is done right after it.
const firstRows = `{ const look = () => {
	if (document.querySelector('#footnote')?.textContent) scheduler.postTask(() => { window.firstRows = performance.now(); }, { priority: 'user-blocking' });
	else requestAnimationFrame(look);
}; requestAnimationFrame(look); }`

// worked is the processor time [ms] of the page's main thread so far.
func worked(b tab) float64 {
	b.Helper()
	_, err := chromedp.Call(b.ctx, performance.Enable, performance.EnableParams{TimeDomain: "threadTicks"})
	if err != nil {
		b.Fatal(err)
	}
	got, err := chromedp.Call(b.ctx, performance.GetMetrics, cdp.Empty{})
	if err != nil {
		b.Fatal(err)
	}
	for _, m := range got.Metrics {
		if m.Name == "TaskDuration" {
			return 1000 * m.Value
		}
	}
	return 0
}

// keepTrials fills a folder with what is kept of n trials.
func keepTrials(t testing.TB, dir string, n int) {
	t.Helper()
	root, err := os.OpenRoot(dir)
	if err != nil {
		t.Fatal(err)
	}
	defer root.Close()
	known := func(v float64) *energy.Estimate { return &energy.Estimate{Value: v, U: v / 500} }
	at := func(s, h, e float64) *trials.Place {
		return &trials.Place{T: s, Height: *known(h), Extension: *known(0.9 - h), Elastic: *known(e / 4), Gravitational: *known(e), Total: *known(1.25 * e)}
	}
	start := time.Date(2026, 11, 20, 17, 0, 0, 0, time.UTC)
	for i := range n {
		created := start.Add(time.Duration(i) * 40 * time.Second)
		run := created.Format("2006-01-02T150405Z") + "-tamar"
		row := trials.Row{
			Run: run + ".csv", Bench: "Tamar", Spring: "S-4", Bob: "brass bob", Counts: i%7 != 3, Release: 2.5, Over: trials.ByCycles, Cycles: 10,
			Start: at(2.5, 0.78, 1.7), Lowest: at(2.8, 0.59, 1.6), End: at(8.8, 0.77, 1.65), Amplitude: known(0.095), Period: known(0.634),
			FirstLoss: known(0.02 + float64(i%13)/1e4), CycleLoss: known(0.011), Swung: known(0.11), Decay: "viscous",
		}
		if !row.Counts {
			row.Findings = []trials.Finding{{Fault: trials.Sway, Sentence: "the bob swung sideways by 21 mm: hang it again", Voids: true}}
		}
		k := kept.Kept{Run: run, Created: created, Virtual: true, Group: []string{"window", "door side"}[i/500], Software: "test", Trials: []trials.Row{row}}
		if err := kept.Write(root, k); err != nil {
			t.Fatal(err)
		}
	}
}
