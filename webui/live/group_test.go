package live

import (
	"testing"
	"testing/synctest"
	"time"
)

// collect returns what an outbox holds, decoded.
func collect(t *testing.T, o *outbox) []received {
	t.Helper()
	var out []received
	for data, ok := o.take(time.Now()); ok; data, ok = o.take(time.Now()) {
		out = append(out, decodeMessage(t, data))
	}
	return out
}

func startGroup(t *testing.T, h *Hub, rate int) *outbox {
	t.Helper()
	g := newGroup(Subscription{rate: rate, channels: derivedColumns()}, &h.tape, func(uint64) {})
	o := newOutbox(5000, false)
	g.join(o)
	h.groups.Store(&[]*group{g})
	go g.run()
	t.Cleanup(func() { close(g.quit) })
	return o
}

// At 60 messages a second, 1000 readings a second arrive as 60 or 61 messages that
// hold every reading once and in order.
func TestGroupKeepsTheRate(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := NewHub(Options{})
		o := startGroup(t, h, 60)
		for i := range 1000 {
			h.Publish(testBatch(i, 1))
			time.Sleep(time.Millisecond)
		}
		time.Sleep(time.Second)
		synctest.Wait()
		messages := collect(t, o)
		if n := len(messages); n < 60 || n > 61 {
			t.Errorf("%d messages in a second, want 60 or 61", n)
		}
		i := 0
		for _, m := range messages {
			for _, at := range m.T {
				if want := float64(testFrame(i).T) / 1e9; !near(at, want, 1e-9) {
					t.Fatalf("reading %d is at %v s, want %v s", i, at, want)
				}
				i++
			}
		}
		if i != 1000 || messages[len(messages)-1].Seq != 1000 {
			t.Errorf("%d readings up to seq %d, want 1000 up to 1000", i, messages[len(messages)-1].Seq)
		}
	})
}

// A frame after a pause does not wait for the end of a period.
func TestGroupSendsAtOnceAfterAPause(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		h := NewHub(Options{})
		o := startGroup(t, h, 1)
		for i := range 3 {
			h.Publish(testBatch(i, 1))
			synctest.Wait()
			if got := len(collect(t, o)); got != 1 {
				t.Errorf("%d messages at once, want 1", got)
			}
			time.Sleep(1001 * time.Millisecond)
		}
		h.Publish(testBatch(3, 1))
		h.Publish(testBatch(4, 1))
		synctest.Wait()
		collect(t, o)
		h.Publish(testBatch(5, 1))
		time.Sleep(900 * time.Millisecond)
		synctest.Wait()
		if got := len(collect(t, o)); got != 0 {
			t.Errorf("%d messages within the period, want none", got)
		}
	})
}

// With rate=all each batch is a message of its own, even one that releases nothing;
// with a rate, batches without frames send none.
func TestGroupEveryReading(t *testing.T) {
	for rate, want := range map[int]int{EveryReading: 30, 120: 2} {
		synctest.Test(t, func(t *testing.T) {
			h := NewHub(Options{})
			o := startGroup(t, h, rate)
			for i := range 30 {
				h.Publish(testBatch(i*10, i%3))
			}
			time.Sleep(time.Second)
			synctest.Wait()
			messages := collect(t, o)
			if n := len(messages); n > want || rate == EveryReading && n != want || n == 0 {
				t.Fatalf("%d messages, want %d", n, want)
			}
			var n uint64
			for i, m := range messages {
				n += m.N
				if rate == EveryReading && (m.N != uint64(i%3) || m.Seq != uint32(i*10+i%3)) {
					t.Errorf("batch %d arrives with n = %d and seq %d", i, m.N, m.Seq)
				}
			}
			if n != 30 {
				t.Errorf("%d readings, want 30", n)
			}
			h.Publish(testBatch(300, 0))
			time.Sleep(time.Second)
			synctest.Wait()
			if got := len(collect(t, o)); got != 1 && rate == EveryReading || got != 0 && rate != EveryReading {
				t.Errorf("rate %d: an empty batch sends %d messages", rate, got)
			}
		})
	}
}
