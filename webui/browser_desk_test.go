package webui_test

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strings"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

const place = `Number(document.querySelector('#step').value)`

// slowMotion runs the last seconds again while readings go on arriving.
func slowMotion(b tab) {
	b.do(chromedp.KeyEvent("q"))
	b.until(`document.querySelector('#link').textContent.endsWith('×1/4')`)
	from := get[float64](b, place)
	if newest := get[float64](b, `Number(document.querySelector('#step').max)`); from >= newest {
		b.Errorf("slow motion begins at reading %v of %v", from, newest)
	}
	b.until(fmt.Sprintf("%s > %v", place, from+20))
	b.do(chromedp.KeyEvent("q")) // the same key stands still
	b.until(`!document.querySelector('#link').textContent.includes('×')`)
	if before, after := sameUntil100More(b); before != after {
		b.Errorf("standing still, the readouts went from %s to %s", before, after)
	}
	b.do(chromedp.KeyEvent("t"))
	b.until(`document.querySelector('#link').textContent.endsWith('×1/10')`)
	b.picture("show-slow-motion")
	b.do(chromedp.KeyEvent(kb.Escape))
	b.until(`document.body.dataset.frozen === 'false'`)
}

// parts gives every part the page, and takes it back.
func parts(b tab) {
	const seen = `[...document.querySelectorAll('.picture')].filter((e) => e.offsetHeight).map((e) => e.className.split(' ')[1])`
	for key, name := range map[string]string{"1": "column", "2": "well", "3": "energies", "4": "extension", "5": "force"} {
		b.do(chromedp.KeyEvent(key))
		b.until(`document.body.dataset.part !== 'all'`)
		if got := get[[]string](b, seen); len(got) != 1 || got[0] != name {
			b.Errorf("key %s shows %v", key, got)
		}
		if share := get[float64](b, `(() => { const r = document.querySelector('.`+name+`').getBoundingClientRect(); return r.width * r.height / innerWidth / innerHeight })()`); share < 0.45 {
			b.Errorf("%s fills %.2f of the page", name, share)
		}
		// What is drawn differs from the ground.
		b.until(`(() => { const d = ` + pixels(`document.querySelector('#`+name+`')`) + `; return d.some((v, i) => i % 4 < 3 && v !== d[i % 4]) })()`)
		for _, always := range []string{"#link", "#calibrated", "#virtual", "#freeze"} {
			if !get[bool](b, fmt.Sprintf("document.querySelector(%q).offsetHeight > 0", always)) {
				b.Errorf("with %s alone, %s is not seen", name, always)
			}
		}
		b.picture("show-" + name)
		b.do(chromedp.KeyEvent(kb.Escape))
		b.until(`document.body.dataset.part === 'all'`)
	}
	if got := get[[]string](b, seen); !slices.Equal(got, []string{"energies", "column", "well", "extension", "force"}) {
		b.Errorf("all parts: %v", got)
	}
	b.do(chromedp.KeyEvent("b"))
	b.until(`document.querySelector('.force').offsetHeight === 0`)
	b.do(chromedp.KeyEvent("b"))
	b.until(`document.querySelector('.force').offsetHeight > 0`)
	b.do(chromedp.KeyEvent("u")) // from "as fits" to J, and on to mJ
	b.do(chromedp.KeyEvent("u"))
	b.until(`document.querySelector('.total .unit').textContent === 'mJ'`)
	b.do(chromedp.KeyEvent("u"))
}

// sketch draws by pointer and by keys, and lays the next release over it.
func sketch(b tab, d *demo) {
	b.do(chromedp.KeyEvent("6"))
	const canvas = `document.querySelector('#sketch-canvas')`
	b.until(canvas + `?.height > 100 && document.querySelector('#sketch-top').value !== ''`)
	if hidden := get[bool](b, `document.querySelector('#sum').offsetHeight === 0`); !hidden {
		b.Error("the room sees the figures while it sketches")
	}
	ink := `(() => { const d = new Uint32Array(` + pixels(canvas) + `.buffer); let n = 0; for (const p of d) if (p !== d[0]) n++; return n })()`
	empty := get[float64](b, ink)
	box := get[[]float64](b, `(() => { const r = `+canvas+`.getBoundingClientRect(); return [r.left, r.top, r.width, r.height] })()`)
	at := func(x, y float64) (float64, float64) { return box[0] + x*box[2], box[1] + y*box[3] }
	move := func(kind input.DispatchMouseEventType, x, y float64) {
		px, py := at(x, y)
		b.do(chromedp.MouseEvent(kind, px, py, chromedp.ButtonLeft))
	}
	move(chromedp.MousePressed, 0.2, 0.6)
	move(chromedp.MouseMoved, 0.5, 0.3)
	move(chromedp.MouseMoved, 0.8, 0.6)
	move(chromedp.MouseReleased, 0.8, 0.6)
	b.until(fmt.Sprintf("%s > %v", ink, empty+500))
	byPointer := get[float64](b, ink)
	b.do(chromedp.Click(chromedp.CSS("#sketch-choices .elastic")), chromedp.Focus(chromedp.CSS("#sketch-canvas")))
	b.do(chromedp.KeyEvent(strings.Repeat(kb.ArrowUp, 10) + strings.Repeat(kb.ArrowRight, 40)))
	b.until(`/^elastic, .* J$/.test(document.querySelector('#sketch-state').textContent)`)
	b.until(fmt.Sprintf("%s > %v", ink, byPointer+200))
	// A decimal comma is read; nonsense is refused in words.
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#sketch-seconds').value = ''`), chromedp.SendKeys(chromedp.CSS("#sketch-seconds"), "soon"+kb.Enter))
	b.until(`document.querySelector('#sketch-seconds').getAttribute('aria-invalid') === 'true' && document.querySelector('#sketch-state').textContent.startsWith('Seconds:')`)
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#sketch-seconds').value = ''`), chromedp.SendKeys(chromedp.CSS("#sketch-seconds"), "2,5"+kb.Enter))
	b.until(`document.querySelector('#sketch-seconds').getAttribute('aria-invalid') === 'false'`)
	for math.Abs(d.bench.Status().Last.Velocity.Value) < 0.6 { // in mid swing: the next release is seconds away
		b.text("#sketch-state")
	}
	drawn := get[float64](b, ink)
	b.do(chromedp.Focus(chromedp.CSS("#sketch-arm")), chromedp.KeyEvent(kb.Enter)) // wherever the words above it have moved it
	b.until(`document.querySelector('#sketch-state').textContent.startsWith('Waiting')`)
	b.until(`document.querySelector('#sketch-state').textContent.startsWith('Broad')`)
	if after := get[float64](b, ink); after < drawn+2000 {
		b.Errorf("the run adds %v pixels to the sketch", after-drawn)
	}
	b.picture("show-sketch")
	b.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`), chromedp.KeyEvent("0"))
	b.until(`document.body.dataset.part === 'all'`)
}

func helpAndPanels(b tab) {
	b.do(chromedp.KeyEvent("?"))
	b.until(`document.querySelector('#help').open`)
	b.until(`document.querySelectorAll('#help-keys tr').length > 15`)
	b.picture("show-keys")
	b.do(chromedp.KeyEvent("f"))
	b.do(chromedp.KeyEvent(kb.Escape))
	b.until(`!document.querySelector('#help').open`)
	if frozen := get[string](b, `document.body.dataset.frozen`); frozen != "false" {
		b.Error("a key meant for the help froze the page")
	}
	b.do(chromedp.Click(chromedp.CSS("#ledger summary")))
	b.until(`document.querySelectorAll('#ledger-table tbody tr').length > 3`)
	b.picture("show-ledger")
	b.do(chromedp.Click(chromedp.CSS("#arrange summary")))
	b.until(`document.querySelector('#arrange').open && !document.querySelector('#ledger').open`)
	b.picture("show-arrange")
	b.do(chromedp.KeyEvent(kb.Escape))
	b.until(`!document.querySelector('#arrange').open`)
}

// accessibility runs the rules of WCAG 2.2 A and AA that axe-core can decide, in both
// grounds, with a panel open, on the sketch and on a phone.
func accessibility(b tab) {
	if _, err := os.Stat(axe); err != nil {
		missing(b, "JOULEWELL_NEED_NPM", "axe-core is not installed (npm ci in webui/pages_test): the accessibility rules go unchecked")
	}
	for _, ground := range []string{"light", "dark"} {
		b.shape(1920, 1080, &emulation.MediaFeature{Name: "prefers-color-scheme", Value: ground})
		b.breaches(ground)
	}
	b.do(chromedp.Click(chromedp.CSS("#arrange summary")))
	b.breaches("settings open")
	b.do(chromedp.Click(chromedp.CSS("#ledger summary")))
	b.until(`document.querySelectorAll('#ledger-table tbody tr').length > 3`)
	b.breaches("ledger open")
	b.do(chromedp.KeyEvent(kb.Escape), chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`), chromedp.KeyEvent("?"))
	b.until(`document.querySelector('#help').open`)
	b.breaches("help open")
	b.do(chromedp.KeyEvent(kb.Escape), chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`), chromedp.KeyEvent("6"))
	b.until(`document.querySelector('#sketch-canvas')?.offsetHeight > 0`)
	b.breaches("sketch")
	b.do(chromedp.KeyEvent("0"))
	b.shape(390, 844)
	b.breaches("phone")
	b.shape(1920, 1080)
}
