package clock

import "math/bits"

const (
	// Links hold bytes back to grids of their own: USB bridges with a latency timer
	// for up to 16 ms, a full-speed USB frame for 1 ms.
	longHold  = 16e6 // [ns]
	shortHold = 1e6  // [ns]

	phaseUs   = 16_000 / 64 // [us] width of a phase
	phaseKeep = 8_000_000   // [us] of device time for which phases are kept, at least

	slips = 3 // gaps that the lag must have slipped through to be seen
)

// phases notes at which phases of a 16 ms grid readings were taken. (The grid's own
// rate does not matter: only which phases occur, not where they start.) Readings at
// all phases find the link ready now and then; readings that keep in step with the
// grid may all be held back for as long as the gap between their phases.
type phases struct {
	now, before uint64 // a bit for each phase seen in this and in the last period
	since       int64  // [us] device time at which now began
}

func (p *phases) add(us int64) {
	if us-p.since > phaseKeep {
		p.before, p.now, p.since = p.now, 0, us
	}
	p.now |= 1 << (uint64(us) / phaseUs % 64)
}

// gap returns the longest step from one phase to the next around the grid [ns].
func (p *phases) gap() float64 {
	steps := 1
	for missing := ^(p.now | p.before); missing != 0 && steps < 64; steps++ {
		// A bit stays while all phases from it backward by steps are missing.
		missing &= bits.RotateLeft64(missing, 1)
	}
	return float64(steps) * phaseUs * 1000
}
