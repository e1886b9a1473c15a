package webui_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
	"github.com/gorilla/websocket"

	"joulewell/daq/virtual"
)

const good = `document.body.dataset.values === 'good' && document.querySelector('.total .value').textContent !== '–'`

// TestShowPageLossless holds the total on the page against its own band, on a bench that
// loses nothing but to the motion of the spring's coils.
func TestShowPageLossless(t *testing.T) {
	b, console := openTab(t)
	d := startDemo(t, "127.0.0.1:0", t.TempDir(), virtual.Lossless())
	b.shape(1366, 768)
	b.do(chromedp.Navigate("http://" + d.address + "/"))
	b.until(good)
	b.until(`document.querySelectorAll('meter')[0].value > 0.01`) // released
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#count').click()`))
	b.until(`document.querySelector('.lost .value').textContent !== '–'`)
	const total = `[document.querySelector('.total .value'), document.querySelector('.total .below'), document.querySelector('.kinetic .value')].map((e) => Number(e.textContent.replace('±', '')))`
	first := get[[]float64](b, total)
	kinetic := map[float64]bool{}
	for len(kinetic) < 12 {
		v := get[[]float64](b, total)
		// Two readings, each within its own expanded uncertainty.
		if allowed := math.Hypot(first[1], v[1]); !(math.Abs(v[0]-first[0]) <= allowed) || !(allowed < 0.1*first[0]) {
			t.Errorf("the total was %v and is %v, more than %v apart", first[0], v[0], allowed)
		}
		kinetic[v[2]] = true
		b.until(fmt.Sprintf("%s !== %q", readouts, get[string](b, readouts)))
	}
	if lost := b.text(".lost .value"); !strings.HasPrefix(lost, "< ") {
		t.Errorf("of a total that stays, %s is said to be lost", lost)
	}
	if lines := console.complaints(); len(lines) > 0 {
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
}

// TestShowPageInAFullRoom draws one page while 300 others are served.
func TestShowPageInAFullRoom(t *testing.T) {
	b, _ := openTab(t)
	d := startDemo(t, "127.0.0.1:0", t.TempDir(), virtual.Default())
	const viewers = 300
	var heard atomic.Int64
	var reading sync.WaitGroup
	var lines []*websocket.Conn
	defer func() {
		for _, c := range lines {
			c.Close()
		}
		reading.Wait()
	}()
	for range viewers {
		c, _, err := websocket.DefaultDialer.Dial("ws://"+d.address+"/live?rate=30", nil)
		if err != nil {
			t.Fatal(err)
		}
		lines = append(lines, c)
		reading.Go(func() {
			for first := true; ; {
				_, data, err := c.ReadMessage()
				if err != nil {
					return
				}
				if first && strings.Contains(string(data[:min(len(data), 40)]), `"frames"`) {
					first = false
					heard.Add(1)
				}
			}
		})
	}
	b.shape(1366, 768)
	b.do(chromedp.Navigate("http://" + d.address + "/"))
	b.until(good)
	b.until(fmt.Sprintf("[...document.querySelectorAll('#notes li')].some((e) => e.textContent === '%d pages open')", viewers+1))
	for range 8 {
		b.until(fmt.Sprintf("%s !== %q", readouts, get[string](b, readouts)))
		if values := get[string](b, `document.body.dataset.values`); values != "good" {
			t.Errorf("in a full room the values are %s", values)
		}
	}
	if n := heard.Load(); n != viewers {
		t.Errorf("%d of %d other viewers have got readings", n, viewers)
	}
}

// TestTwoInstructors has two tabs on one bench: one's freeze is its own, a run is both's.
// What is loaded late and could not be had while the daemon was away is there later.
func TestTwoInstructors(t *testing.T) {
	a, _ := openTab(t)
	b, _ := openTab(t)
	dir := t.TempDir()
	d := startDemo(t, "127.0.0.1:0", dir, virtual.Default())
	for _, one := range []tab{a, b} {
		one.do(chromedp.Navigate("http://" + d.address + "/"))
		one.until(good)
	}
	a.do(chromedp.KeyEvent("f"))
	a.until(`document.body.dataset.frozen === 'true'`)
	a.do(chromedp.Click(chromedp.CSS("#run")))
	b.until(`document.querySelector('#run').textContent === 'Stop run'`)
	if frozen := get[string](b, `document.body.dataset.frozen`); frozen != "false" {
		t.Error("one tab's freeze froze the other")
	}
	b.do(chromedp.Click(chromedp.CSS("#run")))
	a.until(`document.querySelector('#run').textContent === 'Start run' && document.querySelector('#run-state').textContent.startsWith('recorded')`)
	a.do(chromedp.KeyEvent(kb.Escape))
	a.until(`document.body.dataset.frozen === 'false'`)

	d.stop()
	b.until(`document.body.dataset.values === 'stale'`)
	b.do(chromedp.KeyEvent("?"))
	b.until(`document.querySelector('#help').open`)
	b.do(chromedp.KeyEvent(kb.Escape), chromedp.Click(chromedp.CSS("#run")))
	b.until(`document.querySelector('#run-state').textContent === 'The daemon does not answer.'`)
	startDemo(t, d.address, dir, virtual.Default())
	b.until(good)
	b.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`), chromedp.KeyEvent("?"))
	b.until(`document.querySelectorAll('#help-keys tr').length > 15`)
}

// TestShowPageSealed seals the results while energies are looked at: none is left on the
// page, not even of before, the readings go on, and the room is told why. Opened, the
// energies of what comes then are there.
func TestShowPageSealed(t *testing.T) {
	b, console := openTab(t)
	s := openStage(t)
	s.greet(stageHello("seal"), stageStatus(), stageFrames(0, 5))
	b.shape(1366, 768)
	b.do(chromedp.Navigate("http://" + s.address + "/"))
	b.until(read)
	b.do(chromedp.KeyEvent("1"), chromedp.KeyEvent("f"))
	b.until(`document.body.dataset.frozen === 'true' && document.body.dataset.part === 'column'`)

	s.seal(true)
	b.until(`document.querySelector('#sealed') !== null`)
	s.say(stageFramesSealed(5.01, 7, true))
	b.until(sealed)
	b.until(`document.body.dataset.part === 'all' && document.body.dataset.frozen === 'false'`)
	const seen = `[...document.querySelectorAll('#sum, .picture')].filter((e) => e.offsetHeight).map((e) => e.className)`
	if got := get[[]string](b, seen); !slices.Equal(got, []string{"picture extension", "picture force"}) {
		t.Errorf("sealed, %q are seen", got)
	}
	if why := b.text("#sealed p"); !strings.HasPrefix(why, "Results are sealed") {
		t.Errorf("the room is told %q", why)
	}
	if link := b.text("#link"); link != "live: results sealed" && link != "live" {
		t.Errorf("the link is %q", link)
	}
	if joules := get[bool](b, `/\d\s*m?J\b/.test(document.body.innerText)`); joules {
		t.Errorf("joules are told: %q", get[string](b, `document.body.innerText`))
	}
	for _, key := range []string{"1", "2", "3"} { // the parts that show energies do not open
		b.do(chromedp.KeyEvent(key))
		b.until(`document.body.dataset.part === 'all'`)
	}
	// Nothing of before the seal can be stepped back to.
	b.do(chromedp.KeyEvent("f"))
	b.until(`document.body.dataset.frozen === 'true' && document.querySelector('#step').max > 0`)
	if kept := get[int](b, `Number(document.querySelector('#step').max) + 1`); kept > 199 {
		t.Errorf("%d readings can be stepped through, of 199 since the seal", kept)
	}
	b.do(chromedp.KeyEvent("f"))
	b.breaches("sealed")

	s.seal(false)
	s.say(stageFrames(7.01, 9))
	b.until(`document.querySelector('#sealed').offsetHeight === 0 && document.querySelector('#sum').offsetHeight > 0`)
	b.until(`/\d/.test(document.querySelector('.total .value').textContent)`)
	if lines := console.complaints(); len(lines) > 0 {
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
}
