package daq

import (
	"context"
	"log/slog"
	"math"
	"testing"
	"testing/synctest"
	"time"

	"joulewell/daq/source"
	"joulewell/daq/wire"
)

// Whenever a device falls silent, the status says so, and calls nothing fresh any more,
// early enough for the viewers to be told within a second; it does not while bytes are held
// up for half a second, as bridges do. The clock is a fake one.
func TestSilenceIsToldWithinASecond(t *testing.T) {
	const way = 100 * time.Millisecond // from the status to a page, see webui.watchEvery
	synctest.Test(t, func(t *testing.T) {
		clock := source.NewClock()
		bn, err := New(Options{Setup: bench(), Source: idle{}, Clock: clock, Log: slog.New(slog.DiscardHandler)})
		if err != nil {
			t.Fatal(err)
		}
		ctx, cancel := context.WithCancel(t.Context())
		over := make(chan error, 1)
		go func() { over <- bn.Run(ctx) }()
		hand := func(e source.Event) {
			bn.mu.Lock()
			defer bn.mu.Unlock()
			e.At = clock()
			bn.handle(&e)
		}
		hand(source.Event{Kind: source.Opened, Name: "port"})
		hand(source.Event{Kind: source.Bytes, Bytes: []byte("\n#fields seq,t_us,range_mm\n")})
		var r wire.Reading
		say := func() {
			r.Seq++
			r.DeviceUs = uint32(clock().Microseconds())
			r.Set(wire.RangeMm, math.Round(600+50*math.Sin(8*clock().Seconds())))
			hand(source.Event{Kind: source.Bytes, Bytes: wire.AppendReading(nil, []wire.Column{wire.Seq, wire.DeviceUs, wire.RangeMm}, &r)})
		}
		for phase := range 25 { // of the silence against the ticks of the status
			for range 100 + phase {
				time.Sleep(11 * time.Millisecond)
				say()
			}
			time.Sleep(540 * time.Millisecond)
			if st := bn.Status(); st.Link != Live || !st.Fresh {
				t.Errorf("phase %d, held up for half a second: %s, fresh %t", phase, st.Link, st.Fresh)
			}
			time.Sleep(time.Second - way - 540*time.Millisecond)
			if st := bn.Status(); st.Link != Silent || st.Fresh {
				t.Errorf("phase %d, silent for %v: %s, fresh %t", phase, time.Second-way, st.Link, st.Fresh)
			}
		}
		cancel()
		if err := <-over; err != nil {
			t.Error(err)
		}
	})
}
