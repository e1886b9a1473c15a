package webui_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// looks are the pages whose looks are kept in testdata/looks, each as wide as a projector
// and as a phone, on light and dark ground. A page is added by a line; its looks are made
// by `go test ./webui -run Looks -update`.
var looks = []struct {
	name, path string
	greeting   []message // what the daemon says on /live
	ready      string    // holds once all is there
	act        func(tab) // what is done then
}{
	{"show", "/", []message{stageHello("looks"), stageStatus(), stageFrames(0, 11.3)}, read, freeze},
	{"show-waiting", "/", []message{stageHello("looks"), stageStatus()}, `document.querySelector('#link').textContent === 'live'`, nil},
	{"show-sketch", "/", []message{stageHello("looks"), stageStatus(), stageFrames(0, 11.3)}, read, sketchOne},
	{"show-sealed", "/", []message{stageHello("looks"), stageStatusSealed(true), stageFramesSealed(0, 11.3, true)}, `document.querySelector('#sealed') !== null`, func(b tab) { freeze(b); b.until(sealed) }},
	{"trials", "/trials", []message{stageHello("looks"), stageStatus()}, `document.querySelector('#state-text').textContent === 'waiting' && document.querySelector('#link').textContent === 'live'`, nil},
	{"balance", "/balance", []message{stageHello("looks"), stageStatus()}, `document.querySelectorAll('fieldset').length > 2 && document.querySelector('#link').textContent === 'live'`, nil},
	{"upkeep", "/upkeep", nil, `document.querySelectorAll('#standing article').length > 3`, sameAge},
	{"class", "/class", nil, `document.querySelectorAll('#benches tr').length > 0 || document.querySelector('#refusal').textContent !== ''`, nil},
}

// What is read once stands there, live or struck out.
const (
	read   = `/\d/.test(document.querySelector('.total .value').textContent)`
	sealed = `/\d/.test(document.querySelector('#sealed .value')?.textContent)`
)

// sizes are those in which looks are kept, and the side of a cell [px].
var sizes = []struct {
	name          string
	width, height int64
	cell          int
}{{"projector", 1920, 1080, 40}, {"phone", 390, 844, 26}}

func freeze(b tab) {
	b.do(chromedp.KeyEvent("f"))
	b.until(`document.body.dataset.frozen === 'true'`)
}

// sameAge writes the age of the bench file's calibrations as it was when somebody looked.
func sameAge(b tab) {
	get[bool](b, `(document.querySelectorAll('#standing p').forEach((p) => { p.textContent = p.textContent.replace(/, [^,]* ago/, ', 7 days ago'); }), true)`)
}

func sketchOne(b tab) {
	freeze(b)
	b.do(chromedp.KeyEvent("6"))
	b.until(`document.querySelector('#sketch-canvas')?.offsetHeight > 100 && document.querySelector('#sketch-top').value !== ''`)
	b.do(chromedp.Focus(chromedp.CSS("#sketch-canvas")), chromedp.KeyEvent(strings.Repeat(kb.ArrowUp, 20)+strings.Repeat(kb.ArrowRight, 60)))
	b.until(`/^kinetic, .* J$/.test(document.querySelector('#sketch-state').textContent)`)
}

// TestLooks holds every page against what it looked like when somebody last looked.
func TestLooks(t *testing.T) {
	once(t)
	update := flag.Lookup("update").Value.String() == "true"
	b, _ := openTab(t)
	s := openStage(t)
	for _, one := range looks {
		t.Run(one.name, func(t *testing.T) {
			b := tab{t, b.ctx}
			if one.greeting != nil {
				s.greet(one.greeting[0], one.greeting[1], one.greeting[2:]...)
			}
			b.shape(1920, 1080)
			b.do(chromedp.Navigate("http://" + s.address + one.path))
			b.until(one.ready)
			if one.act != nil {
				one.act(b)
			}
			for _, size := range sizes {
				for _, ground := range []string{"light", "dark"} {
					b.shape(size.width, size.height, &emulation.MediaFeature{Name: "prefers-color-scheme", Value: ground})
					b.hold(fmt.Sprintf("%s-%s-%s", one.name, size.name, ground), size.cell, update)
				}
			}
			if one.name == "show" {
				breakage(b)
			}
		})
	}
}

// broken are ways in which the Show page may break; each must be seen from far away.
var broken = map[string]string{
	"a part is missing":           `document.querySelector('.well').style.visibility = 'hidden'`,
	"the badge is missing":        `document.querySelector('#virtual').style.visibility = 'hidden'`,
	"a part lies over another":    `document.querySelector('.column').style.transform = 'translateX(-30%)'`,
	"the figures have moved":      `document.querySelector('#sum').style.transform = 'translateY(60px)'`,
	"the desk has no room":        `document.querySelector('.desk').style.display = 'none'`,
	"the ground is another":       `document.body.style.background = '#ccc'`,
	"figures in the ground's own": `document.querySelector('#sum').style.color = 'var(--ground)'`,
}

// breakage breaks the page and wants that to be seen.
func breakage(b tab) {
	b.shape(1920, 1080)
	whole := b.look("", 40)
	if why := b.look("", 40).unlike(whole); why != "" {
		b.Fatalf("the page is unlike itself: %s", why)
	}
	for name, script := range broken {
		get[bool](b, "("+script+", true)")
		if why := b.look("", 40).unlike(whole); why == "" {
			b.Errorf("%s: nobody would notice", name)
		}
		get[bool](b, `(document.querySelectorAll('[style]').forEach((e) => e.removeAttribute('style')), true)`)
	}
}

// look takes the look of the whole page; a name keeps the picture as well.
func (b tab) look(name string, cell int) look {
	b.Helper()
	whole, quick := true, true
	shot, err := chromedp.Call(b.ctx, page.CaptureScreenshot, page.CaptureScreenshotParams{CaptureBeyondViewport: &whole, OptimizeForSpeed: &quick})
	if err != nil {
		b.Fatal(err)
	}
	if dir := os.Getenv("JOULEWELL_ARTEFACTS"); dir != "" && name != "" {
		if err := os.WriteFile(filepath.Join(dir, "look-"+name+".png"), shot.Data, 0o644); err != nil {
			b.Error(err)
		}
	}
	here, err := lookOf(shot.Data, cell)
	if err != nil {
		b.Fatal(err)
	}
	return here
}

// hold holds the look of the page against the one that is kept.
func (b tab) hold(name string, cell int, update bool) {
	b.Helper()
	here := b.look(name, cell)
	file := filepath.Join("testdata", "looks", name+".txt")
	if update {
		if err := os.WriteFile(file, []byte(here.String()), 0o644); err != nil {
			b.Fatal(err)
		}
		return
	}
	kept, err := os.ReadFile(file)
	if err != nil {
		b.Fatalf("no look of %s is kept: `go test ./webui -run Looks -update` makes one, look at it before you commit it: %v", name, err)
	}
	want, err := parseLook(string(kept))
	if err != nil {
		b.Fatalf("%s: %v", file, err)
	}
	if why := here.unlike(want); why != "" {
		b.Errorf("%s does not look as in %s: %s\nIf it is meant to, `go test ./webui -run Looks -update` renews what is kept.", name, file, why)
	}
}
