package webui_test

import (
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"joulewell/daq"
	"joulewell/daq/series"
	"joulewell/daq/setup"
	"joulewell/daq/source"
	"joulewell/daq/upkeep"
	"joulewell/daq/virtual"
	"joulewell/webui"
)

// once skips what the race detector can add nothing to: CI has it in the run without -short.
func once(t *testing.T) {
	t.Helper()
	if testing.Short() {
		t.Skip("about the page, not the daemon: left out of the short run")
	}
}

// patience bounds each wait for the page; it is not a measure of anything.
const patience = 60 * time.Second

// demo is a daemon on the virtual bench.
type demo struct {
	address string
	bench   *daq.Bench
	stop    func() // returns when all is closed
}

func startDemo(t testing.TB, address, dir string, config virtual.Config) *demo {
	t.Helper()
	return startDemoBy(t, address, dir, config, source.NewClock())
}

// startDemoBy starts a daemon whose time is that of a clock.
func startDemoBy(t testing.TB, address, dir string, config virtual.Config, clock source.Clock) *demo {
	t.Helper()
	device, err := virtual.New(config)
	if err != nil {
		t.Fatal(err)
	}
	described := virtual.Setup(config)
	bench, err := daq.New(daq.Options{
		Setup: &described, Device: setup.Blank().Device, Clock: clock, Dir: dir, Version: "test",
		Source: source.NewVirtual(device, source.PlayOptions{Name: "virtual bench", Speed: 1, Clock: clock}),
	})
	if err != nil {
		t.Fatal(err)
	}
	listener, err := net.Listen("tcp", address)
	if err != nil {
		t.Fatal(err)
	}
	plain := setup.Blank()
	plain.Bench, plain.Calibration = described, filepath.Join(dir, setup.Book)
	desk, err := upkeep.Open(plain, time.Now)
	if err != nil {
		t.Fatal(err)
	}
	desk.Employ(device)
	round, err := series.Open(series.Options{Bench: bench, Dir: dir, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	server, err := webui.New(webui.Options{Bench: bench, Upkeep: desk, Trials: round, Listen: listener.Addr().String(), Well: bench.Well, Version: "test"})
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() {
		if err := bench.Run(ctx); err != nil {
			t.Errorf("bench: %v", err)
		}
	})
	running.Go(func() { round.Run(ctx) })
	running.Go(func() {
		if err := server.Serve(ctx, listener); err != nil {
			t.Errorf("server: %v", err)
		}
	})
	d := &demo{listener.Addr().String(), bench, sync.OnceFunc(func() { cancel(); running.Wait() })}
	t.Cleanup(d.stop)
	return d
}

// tab is the one tab of the one browser.
type tab struct {
	testing.TB
	ctx context.Context
}

// openTab starts a browser and returns its tab and what the page writes to the console.
func openTab(t testing.TB) (tab, *console) {
	t.Helper()
	options := append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(findBrowser(t)), chromedp.UserDataDir(t.TempDir()), chromedp.DisableGPU,
		chromedp.WSURLReadTimeout(patience), chromedp.Flag("disable-quic", true),
		chromedp.Flag("disable-component-update", true))
	if os.Geteuid() == 0 {
		options = append(options, chromedp.NoSandbox) // as root there is no other way
	}
	allocated, release := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, cancel := chromedp.NewContext(allocated)
	t.Cleanup(func() {
		closing, done := context.WithTimeout(ctx, patience)
		defer done()
		if err := chromedp.Cancel(closing); err != nil {
			t.Logf("close the browser: %v", err)
		}
		cancel()
		release()
	})
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("start the browser: %v", err)
	}
	c := &console{}
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			c.add(m)
		}
	}()
	return tab{t, ctx}, c
}

func findBrowser(t testing.TB) string {
	t.Helper()
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome", "chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	missing(t, "JOULEWELL_NEED_BROWSER", "no Chromium is installed: the page goes untested in a real browser")
	return ""
}

// missing is lacking for benchmarks too.
func missing(t testing.TB, forbids, why string) {
	t.Helper()
	if os.Getenv(forbids) == "1" {
		t.Fatal(why)
	}
	t.Skip(why)
}

// console keeps what the page complains of: script errors and what the content
// policy stopped.
type console struct {
	mu    sync.Mutex
	lines []string
}

func (c *console) add(m chromedp.ConsoleMessage) {
	if m.Type == "log" || m.Type == "info" || m.Type == "debug" {
		return
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	c.lines = append(c.lines, fmt.Sprintf("%s: %s %s", m.Type, m.Text, m.URL))
}

// complaints returns the lines without those that hold one of the given words.
func (c *console) complaints(save ...string) []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	var found []string
lines:
	for _, line := range c.lines {
		for _, word := range save {
			if strings.Contains(line, word) {
				continue lines
			}
		}
		found = append(found, line)
	}
	return found
}

func (b tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := chromedp.Do(ctx, steps...); err != nil {
		b.Fatal(err)
	}
}

// get evaluates an expression in the page.
func get[T any](b tab, expression string) T {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.Fatalf("%s: %v", expression, err)
	}
	return v
}

// until waits for an expression to hold, looking at it once per animation frame. The
// page's policy forbids eval, so the expression goes into a function of its own.
func (b tab) until(expression string) {
	b.Helper()
	get[bool](b, `new Promise((done) => { const look = () => (`+expression+`) ? done(true) : requestAnimationFrame(look); look(); })`)
}

func (b tab) text(selector string) string {
	b.Helper()
	return get[string](b, fmt.Sprintf("document.querySelector(%q).textContent", selector))
}

// pixels are those of a canvas, read from a copy made for that: of one that is read again
// and again the browser itself complains.
func pixels(canvas string) string {
	return `((c) => { const copy = new OffscreenCanvas(c.width, c.height).getContext('2d', { willReadFrequently: true }); copy.drawImage(c, 0, 0); return copy.getImageData(0, 0, c.width, c.height).data })(` + canvas + `)`
}

// shape sets the size of the window and what the system is said to wish.
func (b tab) shape(width, height int64, features ...*emulation.MediaFeature) {
	b.Helper()
	b.do(chromedp.EmulateViewport(width, height), func(ctx context.Context, t *chromedp.Target) (chromedp.Void, error) {
		_, err := cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: features})
		return chromedp.Void{}, err
	})
	b.until(fmt.Sprintf("innerWidth === %d && innerHeight === %d", width, height))
	// Frames to notice the new size and colours, to draw in them, and to show that.
	get[bool](b, "new Promise((done) => { let n = 4; const next = () => n-- ? requestAnimationFrame(next) : done(true); next(); })")
}

// axe is the script that knows the rules of WCAG which a program can decide.
const axe = "pages_test/node_modules/axe-core/axe.min.js"

// breaches reports what axe-core finds on the page against WCAG 2.2 A and AA; without it
// nothing is looked at, and the Show page's test says so.
func (b tab) breaches(state string) {
	b.Helper()
	script, err := os.ReadFile(axe)
	if err != nil {
		return
	}
	if !get[bool](b, `'axe' in window`) {
		b.do(chromedp.Evaluate[chromedp.Void](string(script) + "\n;undefined"))
	}
	found := get[[]string](b, `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa'] })
		.then((r) => r.violations.flatMap((v) => v.nodes.map((n) => v.id + ' at ' + n.target + ': ' + n.failureSummary)))`)
	if len(found) > 0 {
		b.Errorf("%s: %d breaches of WCAG 2.2:\n%s", state, len(found), strings.Join(found, "\n"))
	}
}

// picture takes a screenshot into the folder that JOULEWELL_ARTEFACTS names.
func (b tab) picture(name string) {
	b.Helper()
	if dir := os.Getenv("JOULEWELL_ARTEFACTS"); dir != "" {
		b.shoot(filepath.Join(dir, name+".png"))
	}
}

func (b tab) shoot(path string) {
	b.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	data, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(path, data, 0o644)
	}
	if err != nil {
		b.Fatal(err)
	}
}
