package upkeep

import (
	"math"

	"joulewell/daq/frame"
)

// Still tells the frames of a bench at rest from those of one that moves. At the turning
// points of a swing it, too, sees rest: what hangs on it must wait for some seconds of it,
// as [drift.ZeroWatch] does. The zero Still is ready.
type Still struct{ moving int } // frames in a row that showed a motion

const (
	// A velocity counts as motion beyond so many of its standard uncertainties and so much
	// besides, for several frames in a row: single ones are noise.
	surely = 5.0
	crawl  = 1e-3 // [m/s]
	inARow = 3
)

// Look takes the next frame and reports whether the bob may be at rest in it.
func (s *Still) Look(f *frame.Frame) bool {
	if v := f.Velocity; v.Known() {
		if math.Abs(v.Value) > surely*v.U+crawl {
			s.moving++
		} else {
			s.moving = 0
		}
	}
	return s.moving < inARow
}
