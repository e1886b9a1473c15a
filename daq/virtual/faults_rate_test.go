package virtual

import (
	"bytes"
	"testing"
)

// Worked by hand from the levels of the line, bit by bit.
func TestMisheardByHand(t *testing.T) {
	all := make([]byte, 256)
	for i := range all {
		all[i] = byte(i)
	}
	for _, c := range []struct {
		name        string
		sent, heard int
		bytes, want []byte
	}{
		{"the same rate", 4, 4, all, all},
		{"half: nine bits of 0 look like four and a half", 2, 4, []byte{0x00}, []byte{0xF8}},
		{"half: a start bit alone is too short", 2, 4, []byte{0xFF}, nil},
		{"twice: the start looks like two bits", 4, 2, []byte{0xFF}, []byte{0xFE}},
		{"twice: eighteen bits of 0, one byte without an end", 4, 2, []byte{0x00}, []byte{0x00}},
		{"twice: pairs, and a second start within", 4, 2, []byte{0x55}, []byte{0x66, 0xE6}},
	} {
		if got := misheard(c.bytes, c.sent, c.heard); !bytes.Equal(got, c.want) {
			t.Errorf("%s: % x heard as % x, want % x", c.name, c.bytes, got, c.want)
		}
	}
}

// misheard checks that no reading gets through between two times [s], and that all do
// outside of them but for one at each end.
func (t trial) misheard(from, to float64) {
	meant, spoilt := 0, 0
	for i := range t.ill.samples {
		if at := float64(t.ill.samples[i].At) * 1e-9; at >= from && at < to {
			spoilt++
		} else {
			meant++
		}
	}
	if got := len(t.ill.readings); got < meant-2 || got > meant || spoilt == 0 {
		t.Errorf("%d readings got through of %d at the right rate and %d at the wrong one", got, meant, spoilt)
	}
	if t.ill.counts.RefusedTotal()+uint64(t.ill.overlong) == 0 {
		t.Error("nothing was refused")
	}
}
