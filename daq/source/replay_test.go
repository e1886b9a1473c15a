package source

import (
	"errors"
	"io"
	"testing"
	"testing/synctest"
	"time"

	"joulewell/daq/wire"
)

// rows is a recorded run of three readings in two epochs, then cause.
func rows(cause error) NextReading {
	n := 0
	return func() (r wire.Reading, t int64, epoch uint32, err error) {
		if n++; n > 3 {
			return r, 0, 0, cause
		}
		r.Seq = uint32(n)
		r.Set(wire.LoadCounts, float64(-1000*n))
		return r, int64(5e9 + 12_500_001*n), uint32(n / 3), nil
	}
}

func TestReplayHandsOverReadingsExactly(t *testing.T) {
	got := collect(NewReplay(rows(io.EOF), true, PlayOptions{Name: "run 7"}))
	if len(got) != 5 || got[0].Kind != Opened || got[4].Kind != Ended || got[4].Err != nil {
		t.Fatalf("events %+v: want Opened, three readings, Ended", got)
	}
	for i, e := range got[1:4] {
		n := i + 1
		if e.Kind != Timed || e.T != int64(5e9+12_500_001*n) || e.At != time.Duration(e.T) || e.Epoch != uint32(n/3) ||
			e.Reading.Seq != uint32(n) || e.Reading.Values[wire.LoadCounts] != float64(-1000*n) || e.Reading.Has(wire.EchoUs) {
			t.Errorf("reading %d: %+v", n, e)
		}
	}
}

func TestReplayIsPaced(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		got := collect(NewReplay(rows(io.EOF), false, PlayOptions{Speed: 2}))
		for i, e := range got[1:4] {
			// Pacing rounds to the nanosecond of the timer, T stays exact.
			if want := time.Duration(12_500_001 * i / 2); e.At != want || e.T != int64(5e9+12_500_001*(i+1)) {
				t.Errorf("reading %d at %v, want %v; its own time is %d", i+1, e.At, want, e.T)
			}
		}
	})
}

func TestReplaySaysWhyItStops(t *testing.T) {
	torn := errors.New("row 4 is torn")
	got := collect(NewReplay(rows(torn), false, PlayOptions{}))
	if last := got[len(got)-1]; last.Kind != Ended || !errors.Is(last.Err, torn) {
		t.Errorf("last event %+v, want Ended with %v", last, torn)
	}
}

func TestReplayIsVirtualIfTheRunWas(t *testing.T) {
	for _, virtual := range []bool{true, false} {
		if s := NewReplay(rows(io.EOF), virtual, PlayOptions{}); s.Virtual() != virtual {
			t.Errorf("a run recorded with virtual = %v replays as %v", virtual, s.Virtual())
		}
	}
}
