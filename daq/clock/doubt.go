package clock

const (
	maxLate    = 250e6 // [ns] by which a reading may seem late
	maxEarly   = 50e6  // [ns] or early; more than a grid of the link explains
	startEarly = 2e9   // [ns] early, until the envelope's height is known: the first line may have been late

	// In a silence the clocks may drift apart: by all that is believed while the rate
	// is not known, else by a multiple of its uncertainty and a change of temperature.
	coverage    = 5
	temperature = 50e-6 // [1]

	nearUs   = 2_000_000  // [us] back in time that lines out of order may come from
	farRun   = 3          // contradictory readings in a row that are believed
	nearRun  = 8          // near ones, if they
	nearSpan = 100_000    // [us] go on for so long, which the aftermath of one early reading does not
	strayGap = 10_000_000 // [us] largest step from one to the next in a row

	pauseLength = 5e9 // [ns] of lines that stay late, for a pause of the device's clock
	pace        = 1.5 // [1] times the pace of life, above which a backlog is draining
)

// tolerances returns by how much a reading that arrives now may seem late and early
// [ns].
func (a *Aligner) tolerances(arrival int64) (late, early int64) {
	rate := maxPPM * 1e-6
	if a.known {
		rate = coverage*a.u*1e-6 + temperature
	}
	drift := int64(rate * float64(arrival-a.tiedAt))
	if a.tied {
		return maxLate + drift, maxEarly + drift
	}
	return maxLate + drift, startEarly + drift
}

// strays watches readings that could not be placed.
type strays struct {
	first, last uint32 // [us]
	n           int    // in a row, each later than the one before
}

// persist takes one more and reports whether the row is to be believed.
func (s *strays) persist(deviceUs uint32, near bool) bool {
	if step := deviceUs - s.last; s.n > 0 && 0 < step && step < strayGap {
		s.n++
	} else {
		s.n, s.first = 1, deviceUs
	}
	s.last = deviceUs
	if near {
		return s.n >= nearRun && s.last-s.first >= nearSpan
	}
	return s.n >= farRun
}

// pause watches readings that seem late. A backlog drains faster than life goes on;
// what keeps pace with life and stays late is a clock that stood still.
type pause struct {
	on bool
	us int64 // [us] device time at which it began, or was last seen to drain
	at int64 // [ns] arrival of that reading
}

// lasts takes one more reading and reports whether a pause is certain.
func (p *pause) lasts(late bool, us, arrival int64) bool {
	passed := arrival - p.at
	switch {
	case !late:
		p.on = false
	case !p.on:
		*p = pause{on: true, us: us, at: arrival}
	case passed < pauseLength:
	case float64((us-p.us)*1000) > pace*float64(passed):
		*p = pause{on: true, us: us, at: arrival}
	default:
		return true
	}
	return false
}
