package virtual

import (
	"bytes"
	"testing"

	"joulewell/daq/wire"
)

// heard is what a host hears of a device, and what the device meant.
type heard struct {
	bytes    []byte
	pieces   []arrival
	samples  []Sample
	readings []wire.Reading
	counts   wire.Counts
	decoder  *wire.Decoder
	overlong int
}

// arrival is when [ns] how many bytes in all had come.
type arrival struct {
	at  int64
	end int
}

// hear plays a device for some seconds.
func hear(t testing.TB, c Config, seconds float64) *heard {
	t.Helper()
	d, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	return listen(t, d, seconds)
}

func listen(t testing.TB, d *Device, seconds float64) *heard {
	t.Helper()
	h := &heard{}
	d.Watch(func(s *Sample) { h.samples = append(h.samples, *s) })
	var err error
	if h.decoder, err = wire.NewDecoder(wire.Options{RequireChecksum: true}); err != nil {
		t.Fatal(err)
	}
	var split wire.Splitter
	split.Reset()
	last := int64(0)
	for {
		chunk, at, ok := d.Next()
		if !ok || at < last || len(chunk) == 0 {
			t.Fatalf("Next gave %q at %d after %d, %v", chunk, at, last, ok)
		}
		last = at
		if at > int64(seconds*1e9) {
			break
		}
		h.bytes = append(h.bytes, chunk...)
		h.pieces = append(h.pieces, arrival{at, len(h.bytes)})
		split.Feed(chunk)
		for {
			line, overlong, ok := split.Next()
			if !ok {
				break
			}
			if overlong {
				h.overlong++
				continue
			}
			var r wire.Reading
			if h.decoder.Decode(line, &r) == wire.Data {
				h.readings = append(h.readings, r)
			}
		}
	}
	h.counts = h.decoder.Counts()
	return h
}

// lines returns the complete lines heard, with their line ends.
func (h *heard) lines() [][]byte {
	all := bytes.SplitAfter(h.bytes, []byte("\n"))
	return all[:len(all)-1]
}

// with returns c with faults.
func with(t testing.TB, c Config, faults ...string) Config {
	t.Helper()
	list, err := ParseFaults(faults)
	if err != nil {
		t.Fatal(err)
	}
	c.Faults = list
	return c
}

// brisk is the default bench with a chain short enough for tests of everything but the
// chain.
func brisk() Config {
	c := Default()
	c.Spring.Coils = 6
	return c
}
