package webui_test

import (
	"fmt"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/memory"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"joulewell/daq/virtual"
)

// TestShowPageForAnHour has the page draw 1000 readings a second for as many minutes as
// JOULEWELL_MINUTES says, at a desk that freezes, steps, runs again and turns to each part
// once a minute, and loses the daemon every ten. What is left after a collection may not
// grow: no node, no listener, and by the slope through the minutes no tenth of the memory.
// Frames are traced every ten minutes and told; the last may not cost twice the first.
// Without that variable one round of a few seconds stands for all: it finds what leaks with
// every reading or every deed.
func TestShowPageForAnHour(t *testing.T) {
	once(t)
	minutes := 0
	if text := os.Getenv("JOULEWELL_MINUTES"); text != "" {
		n, err := strconv.Atoi(text)
		if err != nil || n < 10 {
			t.Fatalf("JOULEWELL_MINUTES=%s: want whole minutes, 10 or more", text)
		}
		minutes = n
	}
	b, console := openTab(t)
	dir := t.TempDir()
	d := startDemo(t, "127.0.0.1:0", dir, virtual.Quiet(1000))
	b.shape(1920, 1080)
	b.do(chromedp.Navigate("http://" + d.address + "/"))
	b.until(good)
	deskWork(b) // what is loaded late is there from now on
	if minutes == 0 {
		short(b)
		return
	}

	const settled = 2 // minutes until the page has as many turning points as it keeps
	var at []float64
	var left []remains
	var works []float64
	began := time.Now()
	for minute := range minutes + 1 {
		b.do(chromedp.Sleep(time.Until(began.Add(time.Duration(minute) * time.Minute))))
		if minute%10 == 0 || minute == minutes {
			c := watch(b)
			works = append(works, quantile(c.work, 0.5))
			t.Logf("%2d min: work per frame %.2f ms in the median, %.2f at the 99th percentile; main thread %.2f, %.2f; frames %.1f ms apart, %.1f",
				minute, quantile(c.work, 0.5), quantile(c.work, 0.99), quantile(c.thread, 0.5), quantile(c.thread, 0.99),
				quantile(c.frame, 0.5), quantile(c.frame, 0.99))
		}
		deskWork(b)
		if minute%10 == 5 {
			d.stop()
			b.until(`document.body.dataset.values === 'stale'`)
			d = startDemo(t, d.address, dir, virtual.Quiet(1000))
			b.until(good)
		}
		r := remaining(b)
		if minute >= settled {
			at, left = append(at, float64(minute)), append(left, r)
		}
		t.Logf("%2d min: %v", minute, r)
	}
	noGrowth(b, at, left)
	if first, last := works[0], works[len(works)-1]; last > 2*first {
		t.Errorf("a frame cost %.2f ms at first and %.2f at last", first, last)
	}
	if lines := console.complaints("/live"); len(lines) > 0 {
		t.Errorf("the console holds:\n%s", strings.Join(lines, "\n"))
	}
}

// texts come and go with what the page has to tell, a node or two each.
const texts = 12

// short holds what is left after some rounds against what was left before.
func short(b tab) {
	before := remaining(b)
	from := get[float64](b, received)
	for range 2 {
		deskWork(b)
	}
	for get[float64](b, received) < from+2000 {
	}
	after := remaining(b)
	readings := get[float64](b, received) - from
	b.Logf("before: %v; %.0f readings later: %v", before, readings, after)
	if after.nodes > before.nodes+texts || after.listeners > before.listeners {
		b.Errorf("nodes and listeners grew from %v to %v", before, after)
	}
	// A number kept of every reading would be 12 bytes or more; code that the engine
	// makes and drops is some thousand bytes in all.
	if grown := after.heap - before.heap; grown > 100*readings {
		b.Errorf("%.0f bytes are kept of each reading", grown/readings)
	}
}

// received is how many readings have come from the device.
const received = `fetch('/api/status').then((r) => r.json()).then((s) => s.seq)`

// deskWork is what an instructor does: freeze, look back, slow motion, each part alone, the
// panels, and everything back to where it was.
func deskWork(b tab) {
	b.Helper()
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#ledger summary').click()`))
	b.until(`document.querySelectorAll('#ledger-table tbody tr').length === 8`) // as many as it holds
	b.do(chromedp.Evaluate[chromedp.Void](`document.querySelector('#arrange summary').click()`))
	b.until(`document.querySelectorAll('#settings select').length > 5`)
	b.do(chromedp.KeyEvent(kb.Escape), chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`), chromedp.KeyEvent("f"))
	b.until(`document.body.dataset.frozen === 'true'`)
	b.do(chromedp.KeyEvent(kb.ArrowLeft+kb.PageDown+kb.End), chromedp.KeyEvent("q")) // from the end, the whole strip again
	b.until(`document.querySelector('#link').textContent.endsWith('×1/4')`)
	b.do(chromedp.KeyEvent("123456"))
	b.until(`document.body.dataset.part === 'sketch' && document.querySelector('#sketch-canvas')?.offsetHeight > 0`)
	b.do(chromedp.KeyEvent("0"), chromedp.KeyEvent("?"))
	b.until(`document.querySelectorAll('#help-keys tr').length > 15`)
	b.do(chromedp.KeyEvent(kb.Escape), chromedp.KeyEvent("uuu"), chromedp.KeyEvent(kb.Escape))
	b.until(`document.body.dataset.frozen === 'false' && document.body.dataset.part === 'all' && ` + good)
}

// remains are what the browser holds after a collection.
type remains struct {
	heap             float64 // bytes, of scripts, elements and buffers
	nodes, listeners int64
}

func (r remains) String() string {
	return fmt.Sprintf("%.3f MB, %d nodes, %d listeners", r.heap/1e6, r.nodes, r.listeners)
}

// remaining is the least of several counts: what the page has written and dropped between a
// collection and the count after it is not kept.
func remaining(b tab) remains {
	b.Helper()
	least := collected(b)
	for range 4 {
		r := collected(b)
		least = remains{min(least.heap, r.heap), min(least.nodes, r.nodes), min(least.listeners, r.listeners)}
	}
	return least
}

func collected(b tab) remains {
	b.Helper()
	if _, err := chromedp.Call(b.ctx, heapprofiler.CollectGarbage, cdp.Empty{}); err != nil {
		b.Fatal(err)
	}
	use, err := chromedp.Call(b.ctx, runtime.GetHeapUsage, cdp.Empty{})
	if err != nil {
		b.Fatal(err)
	}
	counts, err := chromedp.Call(b.ctx, memory.GetDOMCounters, cdp.Empty{})
	if err != nil {
		b.Fatal(err)
	}
	return remains{use.UsedSize + use.EmbedderHeapUsedSize + use.BackingStorageSize, counts.Nodes, counts.JsEventListeners}
}

// noGrowth tests the slopes of a line through each of the figures.
func noGrowth(b tab, at []float64, left []remains) {
	b.Helper()
	figures := func(of func(remains) float64) (v []float64) {
		for _, r := range left {
			v = append(v, of(r))
		}
		return v
	}
	span := at[len(at)-1] - at[0]
	for _, f := range []struct {
		name    string
		values  []float64
		allowed float64 // over the whole span
	}{
		{"bytes", figures(func(r remains) float64 { return r.heap }), left[0].heap / 10},
		{"nodes", figures(func(r remains) float64 { return float64(r.nodes) }), texts},
		{"listeners", figures(func(r remains) float64 { return float64(r.listeners) }), 1},
	} {
		slope, u := line(at, f.values)
		b.Logf("%s: %.4g ± %.2g a minute, %.4g over %.0f minutes of %.0f", f.name, slope, 2*u, slope*span, span, f.values[0])
		if grown := (slope - 2*u) * span; grown > f.allowed {
			b.Errorf("%s grew by %.4g or more over %.0f minutes", f.name, grown, span)
		}
	}
}

// line returns the slope of the least-squares line and its standard uncertainty.
func line(x, y []float64) (slope, u float64) {
	n := float64(len(x))
	var mx, my, sxx, sxy float64
	for i := range x {
		mx, my = mx+x[i]/n, my+y[i]/n
	}
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	slope = sxy / sxx
	var rest float64
	for i := range x {
		r := y[i] - my - slope*(x[i]-mx)
		rest += r * r
	}
	return slope, math.Sqrt(rest / (n - 2) / sxx)
}
