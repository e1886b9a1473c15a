package source

import (
	"context"
	"slices"
	"testing"
	"testing/synctest"
	"time"
)

func arrivals(events []Event) (at []time.Duration) {
	for _, e := range events {
		if e.Kind == Bytes {
			at = append(at, e.At)
		}
	}
	return at
}

func ms(n ...int) (d []time.Duration) {
	for _, v := range n {
		d = append(d, time.Duration(v)*time.Millisecond)
	}
	return d
}

func unhurried() *script {
	return &script{chunks: []chunk{{100 * time.Millisecond, "a"}, {120 * time.Millisecond, "b"}, {600 * time.Millisecond, "c"}}}
}

func TestVirtualUnpacedKeepsItsOwnTime(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		start := time.Now()
		got := collect(NewVirtual(unhurried(), PlayOptions{Name: "virtual bench"}))
		if at := arrivals(got); !slices.Equal(at, ms(100, 120, 600)) {
			t.Errorf("arrivals %v", at)
		}
		if took := time.Since(start); took != 0 {
			t.Errorf("playing as fast as possible took %v", took)
		}
		if got[0].Kind != Opened || got[0].Name != "virtual bench" || got[4].Kind != Ended || got[4].At != 600*time.Millisecond {
			t.Errorf("events %+v: want Opened first and Ended last", got)
		}
	})
}

func TestVirtualPaced(t *testing.T) {
	for _, c := range []struct {
		speed float64
		want  []time.Duration
	}{{1, ms(0, 20, 500)}, {10, ms(0, 2, 50)}, {0.5, ms(0, 40, 1000)}} {
		synctest.Test(t, func(t *testing.T) {
			got := collect(NewVirtual(unhurried(), PlayOptions{Speed: c.speed}))
			if at := arrivals(got); !slices.Equal(at, c.want) {
				t.Errorf("speed %g: arrivals %v, want %v", c.speed, at, c.want)
			}
		})
	}
}

func TestVirtualCatchesUpAfterAStall(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		v := NewVirtual(&endless{every: 100 * time.Millisecond, text: "x"}, PlayOptions{Speed: 1})
		var at []time.Duration
		v.Run(ctx, func(e Event) bool {
			if e.Kind != Bytes {
				return true
			}
			at = append(at, e.At)
			if len(at) == 2 {
				time.Sleep(350 * time.Millisecond) // the reader stalls: 200, 300 and 400 fall due
			}
			return len(at) < 7
		})
		if want := ms(0, 100, 450, 450, 450, 500, 600); !slices.Equal(at, want) {
			t.Errorf("arrivals %v, want %v", at, want)
		}
	})
}

func TestVirtualEndsWithItsContext(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		ctx, cancel := context.WithTimeout(t.Context(), 250*time.Millisecond)
		defer cancel()
		start := time.Now()
		v := NewVirtual(&endless{every: time.Hour, text: "x"}, PlayOptions{Speed: 1})
		v.Run(ctx, func(e Event) bool {
			if e.Kind == Ended {
				t.Error("a cancelled source says that it ended by itself")
			}
			return ctx.Err() == nil
		})
		if took := time.Since(start); took != 250*time.Millisecond {
			t.Errorf("Run returned after %v, its context ended after 250 ms", took)
		}
	})
}
