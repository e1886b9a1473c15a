package webui_test

import (
	"fmt"
	"math"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// tooOld is twice the age at which a reading is no longer live.
const tooOld = 2 * time.Second

// TestNothingStaleIsShownAsLive has a daemon whose total is the time of day, so that each
// figure on the page tells its age. Whatever goes wrong, a figure that is not struck out is
// never older than tooOld: messages broken or of another version, readings held back and
// sent late, a tab asleep, the clock set, the daemon begun anew on another bench.
func TestNothingStaleIsShownAsLive(t *testing.T) {
	once(t)
	b, console := openTab(t)
	s := openStage(t)
	zero := time.Now().Add(-time.Minute)
	clock := func() float64 { return time.Since(zero).Seconds() }
	play := s.play(t, clock)
	b.shape(1366, 768)
	b.do(chromedp.Navigate("http://" + s.address + "/"))
	b.until(good)
	b.do(chromedp.KeyEvent("z")) // from the floor: what is shown is what is sent
	b.until(`[...document.querySelectorAll('#notes li')].some((e) => e.textContent.endsWith('the floor'))`)
	get[bool](b, fmt.Sprintf(`(window.ages = { oldest: 0, looked: 0 }, (function look() {
		requestAnimationFrame(look); // after the page's own
		const shown = Number(document.querySelector('.total .value').textContent);
		if (document.body.dataset.values !== 'good' || !(shown > 0)) return;
		ages.looked++;
		ages.oldest = Math.max(ages.oldest, (performance.timeOrigin + performance.now() - %d) / 1000 - shown);
	})(), true)`, zero.UnixMilli()))
	const stale, lives = `document.body.dataset.values === 'stale'`, `document.body.dataset.values === 'good' && ages.looked > 0`
	fresh := func(what string) {
		t.Helper()
		b.until(lives)
		oldest := get[float64](b, `ages.oldest`)
		t.Logf("%s: a live figure is at most %.2f s old, in %d frames", what, oldest, get[int](b, `ages.looked`))
		if oldest > tooOld.Seconds() {
			t.Errorf("%s: a figure %.2f s old is shown as live", what, oldest)
		}
		get[bool](b, `(ages = { oldest: 0, looked: 0 }, true)`)
		b.until(lives)
	}
	fresh("all is well")

	play(false)
	held := clock()
	for _, broken := range []any{`{"v":1,"type":"frames","n":1`, `[]`, `null`, ``, "\x00", `{"v":1,"type":"frames","n":1,"t_s":[null],"total_J":[1]}`,
		message{"v": 0, "type": "frames", "n": 1, "t_s": []float64{held}, "total_J": []float64{held}},
		message{"v": 1, "type": "frames", "n": 2, "t_s": []float64{held, held + 1}, "total_J": []float64{held}}} {
		s.say(broken)
	}
	b.until(stale)
	b.until(`document.querySelector('#older').offsetHeight > 0`)
	b.do(chromedp.Sleep(tooOld - 500*time.Millisecond))
	s.say(coded(held, held+0.3)) // what the network held back
	b.do(chromedp.Sleep(200 * time.Millisecond))
	play(true)
	fresh("messages broken, then late")

	// Three seconds in which no script runs; readings of the first wait for it.
	timer := time.AfterFunc(time.Second, func() { play(false) })
	get[bool](b, fmt.Sprintf(`(function sleep(until) { while (performance.now() < until); })(performance.now() + %d) || true`, (tooOld+time.Second).Milliseconds()))
	timer.Stop()
	b.until(stale)
	play(true)
	fresh("asleep")

	get[bool](b, `new Promise((done) => {
		const now = Date.now;
		Date.now = () => now() + 3600e3;
		(function look() { document.body.dataset.values === 'stale' ? done(true) : requestAnimationFrame(look); })();
	})`)
	fresh("the clock is set")

	s.greet(stageHello("another"), stageStatus())
	s.cut()
	b.until(stale)
	fresh("begun anew")
	if lines := console.complaints("/live"); len(lines) > 0 {
		t.Errorf("the console holds: %q", lines)
	}
}

// play sends coded readings as time goes on, until the test ends; the function it returns
// stops and resumes that.
func (s *stage) play(t testing.TB, clock func() float64) func(bool) {
	var mu sync.Mutex
	on, sent := true, clock()
	ended := make(chan struct{})
	var playing sync.WaitGroup
	playing.Go(func() {
		ticks := time.NewTicker(20 * time.Millisecond)
		defer ticks.Stop()
		for {
			select {
			case <-ended:
				return
			case <-ticks.C:
			}
			mu.Lock()
			if now := clock(); on {
				s.say(coded(sent, now))
				sent = now
			}
			mu.Unlock()
		}
	})
	t.Cleanup(func() { close(ended); playing.Wait() })
	return func(resume bool) {
		mu.Lock()
		defer mu.Unlock()
		on, sent = resume, clock()
	}
}

// coded are readings, a hundred a second, whose total is their time.
func coded(from, to float64) message {
	var times, small, heights []float64
	for n := math.Ceil(from * 100); n < to*100; n++ {
		times, small, heights = append(times, n/100), append(small, 0.001), append(heights, stageRest)
	}
	return message{"v": 1, "type": "frames", "seq": 1, "lost": 0, "n": len(times), "t_s": append([]float64{}, times...),
		"total_J": times, "gravitational_J": times, "u_total_J": small, "u_gravitational_J": small, "height_m": heights}
}
