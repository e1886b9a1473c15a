package webui_test

import (
	"cmp"
	"context"
	"encoding/json"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/heapprofiler"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/tracing"
	"github.com/chromedp/chromedp"

	"joulewell/daq/virtual"
)

// traced is how long the page is watched by the browser's own tracing.
const traced = 8 * time.Second

// BenchmarkShowPage reports what the page costs at 1000 readings a second, 1920 x 1080
// and software drawing, per animation frame: work is scripts, style, layout and paint on
// the main thread, thread is all of the main thread, both in processor time, which a
// machine shared with others does not inflate; frame and arrival-to-paint are what the
// clock says. The floor is an empty animation loop in the same browser. Nothing passes
// or fails by a time.
func BenchmarkShowPage(b *testing.B) {
	tb, _ := openTab(b)
	d := startDemo(b, "127.0.0.1:0", b.TempDir(), virtual.Quiet(1000))
	tb.shape(1920, 1080)
	tb.do(chromedp.Navigate("http://" + d.address + "/healthz"))
	tb.do(chromedp.Evaluate[chromedp.Void](`{ const f = () => requestAnimationFrame(f); f() }`))
	floor := watch(tb)

	_, err := chromedp.Call(tb.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: firstEnergy})
	if err != nil {
		b.Fatal(err)
	}
	tb.do(chromedp.Navigate("http://" + d.address + "/"))
	tb.until(good + ` && window.firstEnergy > 0`)
	first := get[float64](tb, `window.firstEnergy`)
	tb.until(`performance.now() > 12e3`) // full strips
	before := heap(tb)
	var c cost
	for b.Loop() {
		c = watch(tb)
	}
	grown := heap(tb) - before
	drawing, messages := garbage(tb)

	b.ReportMetric(0, "ns/op")
	b.ReportMetric(first, "ms-to-first-energy")
	b.ReportMetric(quantile(c.work, 0.5), "ms-work-p50")
	b.ReportMetric(quantile(c.work, 0.99), "ms-work-p99")
	b.ReportMetric(quantile(c.thread, 0.5), "ms-thread-p50")
	b.ReportMetric(quantile(c.thread, 0.99), "ms-thread-p99")
	b.ReportMetric(quantile(floor.thread, 0.5), "ms-floor-thread-p50")
	b.ReportMetric(quantile(floor.thread, 0.99), "ms-floor-thread-p99")
	b.ReportMetric(quantile(c.frame, 0.5), "ms-frame-p50")
	b.ReportMetric(quantile(c.frame, 0.99), "ms-frame-p99")
	b.ReportMetric(quantile(floor.frame, 0.99), "ms-floor-frame-p99")
	b.ReportMetric(quantile(c.toPaint, 0.5), "ms-arrival-to-paint-p50")
	b.ReportMetric(quantile(c.toPaint, 0.99), "ms-arrival-to-paint-p99")
	b.ReportMetric(grown/1e6, "MB-heap-grown")
	b.ReportMetric(drawing/1e3, "kB-made/frame-drawing")
	b.ReportMetric(messages/1e3, "kB-made/frame-messages")
}

// garbage samples what scripts allocate, in bytes per animation frame: in the frame itself,
// and where messages are taken.
func garbage(b tab) (drawing, messages float64) {
	b.Helper()
	get[bool](b, `(window.looked = 0, (function next() { looked++; requestAnimationFrame(next); })(), true)`)
	yes := true
	if _, err := chromedp.Call(b.ctx, heapprofiler.StartSampling, heapprofiler.StartSamplingParams{
		SamplingInterval: 1024, IncludeObjectsCollectedByMajorGC: &yes, IncludeObjectsCollectedByMinorGC: &yes,
	}); err != nil {
		b.Fatal(err)
	}
	from := get[float64](b, `looked`)
	b.do(chromedp.Sleep(traced))
	frames := get[float64](b, `looked`) - from
	sampled, err := chromedp.Call(b.ctx, heapprofiler.StopSampling, cdp.Empty{})
	if err != nil {
		b.Fatal(err)
	}
	var add func(n *heapprofiler.SamplingHeapProfileNode, to *float64)
	add = func(n *heapprofiler.SamplingHeapProfileNode, to *float64) {
		switch n.CallFrame.FunctionName {
		case "frame":
			to = &drawing
		case "socket.onmessage":
			to = &messages
		}
		*to += n.SelfSize / frames
		for _, c := range n.Children {
			add(c, to)
		}
	}
	var rest float64
	add(sampled.Profile.Head, &rest)
	return drawing, messages
}

// firstEnergy notes when the first energy stands on the page.
const firstEnergy = `{ const look = () => {
	const e = document.querySelector('.total .value');
	if (e && /\d/.test(e.textContent) && document.body.dataset.values === 'good') window.firstEnergy = performance.now();
	else requestAnimationFrame(look);
}; requestAnimationFrame(look); }`

// cost is what frames cost, in ms.
type cost struct {
	work, thread []float64 // per frame
	frame        []float64 // from one to the next
	toPaint      []float64 // from a websocket message to the end of the paint that follows
}

// event is what is used of a trace event; times are in us.
type event struct {
	Name  string  `json:"name"`
	Phase string  `json:"ph"`
	PID   int     `json:"pid"`
	TID   int     `json:"tid"`
	Start float64 `json:"ts"`
	Span  float64 `json:"dur"`
	CPU   float64 `json:"tdur"` // of Span, the part in which the thread had a processor
}

func (e *event) end() float64 { return e.Start + e.Span }

// watch traces the page for a while.
func watch(b tab) cost {
	b.Helper()
	listening, stop := context.WithCancel(b.ctx)
	defer stop()
	var events []event
	complete := make(chan struct{})
	// The events come in order and on one goroutine, the last before complete closes.
	err := chromedp.Listen(listening, func(e any) {
		switch e := e.(type) {
		case *tracing.EventDataCollected:
			for _, v := range e.Value {
				var one event
				if json.Unmarshal([]byte(v), &one) == nil && one.Phase != "M" {
					events = append(events, one)
				}
			}
		case *tracing.EventTracingComplete:
			close(complete)
		}
	})
	if err == nil {
		_, err = chromedp.Call(b.ctx, tracing.Start, tracing.StartParams{
			TransferMode: tracing.StartTransferModeReportEvents,
			TraceConfig: &tracing.TraceConfig{IncludedCategories: []string{
				"devtools.timeline", "disabled-by-default-devtools.timeline", "toplevel",
			}},
		})
	}
	if err != nil {
		b.Fatal(err)
	}
	b.do(chromedp.Sleep(traced))
	if _, err := chromedp.Call(b.ctx, tracing.End, cdp.Empty{}); err != nil {
		b.Fatal(err)
	}
	<-complete
	return costOf(events)
}

// works are the events of the main thread that are scripts or drawing.
var works = map[string]bool{
	"FireAnimationFrame": true, "FunctionCall": true, "EventDispatch": true, "TimerFire": true, "RunMicrotasks": true,
	"UpdateLayoutTree": true, "Layout": true, "PrePaint": true, "Paint": true, "Layerize": true, "Commit": true,
	"MinorGC": true, "MajorGC": true, "V8.GC_SCAVENGER": true,
}

// costOf sorts the events of the page's main thread, which is the one with animation
// frames, into frames.
func costOf(events []event) cost {
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Compare(a.Start, b.Start) })
	frames := slices.DeleteFunc(slices.Clone(events), func(e event) bool { return e.Name != "FireAnimationFrame" })
	if len(frames) < 2 {
		return cost{}
	}
	main := frames[0]
	c := cost{work: make([]float64, len(frames)), thread: make([]float64, len(frames))}
	for i, f := range frames[1:] {
		c.frame = append(c.frame, (f.Start-frames[i].Start)/1000)
	}
	var worked, ran float64 // ends of the outermost events seen so far
	var arrivals []float64  // of messages that are not painted yet
	at := -1
	for _, e := range events {
		if e.PID != main.PID || e.TID != main.TID {
			continue
		}
		for at+1 < len(frames) && frames[at+1].Start <= e.Start {
			at++
		}
		if e.Name == "WebSocketReceive" {
			arrivals = append(arrivals, e.Start)
		}
		if e.Name == "Commit" {
			for _, a := range arrivals {
				c.toPaint = append(c.toPaint, (e.end()-a)/1000)
			}
			arrivals = arrivals[:0]
		}
		if at < 0 {
			continue
		}
		if works[e.Name] && e.Start >= worked {
			c.work[at] += e.CPU / 1000
			worked = e.end()
		}
		if strings.HasSuffix(e.Name, "RunTask") && e.Start >= ran {
			c.thread[at] += e.CPU / 1000
			ran = e.end()
		}
	}
	return c
}

func quantile(v []float64, q float64) float64 {
	if len(v) == 0 {
		return 0
	}
	v = slices.Sorted(slices.Values(v))
	return v[min(len(v)-1, int(q*float64(len(v))))]
}

// heap returns the bytes of script memory in use after a collection.
func heap(b tab) float64 {
	b.Helper()
	if _, err := chromedp.Call(b.ctx, heapprofiler.CollectGarbage, cdp.Empty{}); err != nil {
		b.Fatal(err)
	}
	use, err := chromedp.Call(b.ctx, runtime.GetHeapUsage, cdp.Empty{})
	if err != nil {
		b.Fatal(err)
	}
	return use.UsedSize
}
