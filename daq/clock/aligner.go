package clock

import "math"

// Verdict says what became of a reading's time.
type Verdict uint8

// The verdicts.
const (
	Placed    Verdict = iota // t is its time, later than any before
	Late                     // not placed: refuse the reading
	Restarted                // placed, and a new epoch begins with it
)

// Options sets up an [Aligner].
type Options struct {
	InitialPPM float64 // [ppm] rate error of the device clock until it is known, positive = fast
}

const (
	maxPPM = 6000.0 // [ppm] largest rate error believed; ceramic resonators stay within 5000

	fitEvery   = 4      // [1] points of the envelope from one look at it to the next
	knownSpan  = 8.0    // [s] of readings before a rate error is believed
	knownU     = 300e-6 // [1] largest uncertainty of it
	rateChange = 500e-6 // [1/s] at which the applied rate moves to a new estimate

	// The height of the envelope above the timeline is worked off with this time
	// constant, but never faster than maxSlew.
	slewTime = 100e9  // [ns]
	maxSlew  = 100e-6 // [1]
	slewGap  = 2e9    // [ns] of silence that ends it
)

// Aligner places the readings of one device on the host's clock. Make one with [New].
// It is not for use by several goroutines at a time.
type Aligner struct {
	initial float64 // [1] rate to begin with, as in timeline

	begun   bool
	line    timeline
	rate    float64 // [1] of line without slewing
	newest  int64   // [us] device time of the newest placed reading
	newestT int64   // [ns] its host time
	notYet  int64   // [ns] no reading of the next epoch is placed before this

	envelope envelope
	floor    int64 // [ns] height of the envelope above line
	tied     bool  // floor was found by a fit, not by a single reading that may be late
	tiedAt   int64 // [ns] arrival of the newest reading in it
	fitUs    int64 // [us] device time of the last fit

	known        bool
	ppm, u, span float64

	strays strays
	pause  pause
	same   int // readings placed at the newest one's instant besides it
}

// maxSame is how many readings may share the microsecond of another: as many as a
// bench has sensors. Beyond that the counter has stopped.
const maxSame = 3

// New returns an Aligner that knows nothing of the device yet.
func New(o Options) *Aligner {
	a := &Aligner{initial: slopeOf(o.InitialPPM), notYet: math.MinInt64}
	a.forget(a.initial)
	return a
}

// Open says that the device was opened, or reset with our knowledge, at host time at
// [ns]. A new epoch begins: nothing is known of the device's counter or rate. Its
// times will not precede at, nor any time given before.
func (a *Aligner) Open(at int64) {
	a.forget(a.initial)
	a.notYet = max(a.notYet, at)
}

// forget ends the epoch; the next reading begins one.
func (a *Aligner) forget(rate float64) {
	if a.begun {
		a.notYet = a.newestT + 1
	}
	a.begun, a.known = false, false
	a.rate = rate
	a.ppm, a.u, a.span = ppmOf(rate), maxPPM/math.Sqrt(3), 0
	a.strays, a.pause, a.same = strays{}, pause{}, 0
}

// Place returns the host time t [ns] of the instant at which the device's counter
// stood at deviceUs [us], given the time at which the line arrived [ns]. Arrivals
// must not decrease. Unless the verdict is [Late], t is later than any before, or equal
// to the one before for readings that the device took in the same microsecond.
//
// The first reading of an epoch is placed at its arrival; later ones advance by the
// device time passed, times the rate in force. The counter's wraps every 71.6 min
// are undone: after a silence of any length, the one nearest to the arrival is taken.
//
//   - A reading from before the newest one, or the fifth from the same microsecond, or
//     one that claims an instant later
//     than its arrival by more than a tolerance, is Late, and nothing changes: lines
//     out of order, doubled lines, damaged counters. If such readings go on, each
//     later than the one before, the counter was restarted: the third in a row is
//     Restarted. While they are less than 2 s back, it takes eight of them and 100 ms.
//   - A host that was stopped, or busy, gets a backlog of late lines. They are placed
//     where the device says.
//   - A device that slept with its counter stopped gives lines that seem late for
//     good. When they stay so for 5 s at the pace of life, the next one is Restarted;
//     those before are placed by device time, in the old epoch.
//   - The tolerance is 250 ms for late and 50 ms for early readings (2 s in the first
//     seconds of an epoch and after a silence of more than two minutes). It grows
//     during a silence by what the rate's uncertainty allows.
//
// A counter that restarts within the tolerance of where it would have been cannot be
// told from one that ran on, and is treated as such.
func (a *Aligner) Place(deviceUs uint32, arrival int64) (t int64, v Verdict) {
	if !a.begun {
		a.begin(deviceUs, arrival)
		return a.newestT, Placed
	}
	if arrival-a.floor-a.newestT > slewGap {
		a.line.bend(a.newest, a.rate)
	}
	us, early := a.unroll(deviceUs, arrival)
	lateness, earliness := a.tolerances(arrival)
	back := a.newest - us
	late := -early > lateness
	switch {
	case back == 0 && a.same < maxSame:
		a.same++
		return a.newestT, Placed
	case back >= 0 || early > earliness:
		if !a.strays.persist(deviceUs, 0 <= back && back < nearUs) {
			return 0, Late
		}
		a.restart(deviceUs, arrival)
		return a.newestT, Restarted
	case a.pause.lasts(late, us, arrival):
		a.restart(deviceUs, arrival)
		return a.newestT, Restarted
	}
	a.strays.n, a.same = 0, 0
	a.follow(us, arrival, !late)
	return a.newestT, Placed
}

// begin opens an epoch with its first reading.
func (a *Aligner) begin(deviceUs uint32, arrival int64) {
	a.begun = true
	a.newest, a.newestT = int64(deviceUs), max(arrival, a.notYet)
	a.line = start(a.newest, a.newestT, a.rate)
	a.anchor(arrival)
	a.envelope.add(point{a.newest, arrival - a.newest*1000}, a.rate)
}

// anchor begins an envelope with the newest reading.
func (a *Aligner) anchor(arrival int64) {
	a.envelope.reset()
	a.floor = arrival - a.newestT
	a.tied, a.tiedAt = false, arrival
	a.fitUs = a.newest
}

// restart opens an epoch without an opening: the board, and hence its rate, is still
// the same, though it must be found anew to count as known.
func (a *Aligner) restart(deviceUs uint32, arrival int64) {
	a.forget(a.rate)
	a.begin(deviceUs, arrival)
}

// unroll extends the counter by its wraps: of the instants that it can mean, the one
// nearest to where it should stand at this arrival. early is how much later than
// that it is [ns].
func (a *Aligner) unroll(deviceUs uint32, arrival int64) (us, early int64) {
	expected := a.line.device(arrival - a.floor)
	ahead := int64(int32(deviceUs - uint32(expected)))
	return expected + ahead, ahead * 1000
}

// follow places a reading and, unless it is too late to tell anything, learns from it.
func (a *Aligner) follow(us, arrival int64, learn bool) {
	silence := us - a.newest
	a.newest, a.newestT = us, a.line.at(us)
	if silence > window {
		a.anchor(arrival) // what was before tells the rate, but not the height
	}
	if !learn {
		return
	}
	a.floor = min(a.floor, arrival-a.newestT)
	if a.envelope.add(point{us, arrival - us*1000}, a.rate) && us-a.fitUs >= fitEvery<<a.envelope.shift {
		a.fit(arrival)
	}
}

// fit looks at the envelope and bends the timeline at the newest reading.
func (a *Aligner) fit(arrival int64) {
	passed := float64(a.newest-a.fitUs) / 1e6
	a.fitUs = a.newest
	l, ok := a.envelope.fit()
	ppm := ppmOf(l.slope)
	if !ok || l.span < knownSpan || l.u > knownU || math.Abs(ppm) > maxPPM {
		a.line.bend(a.newest, a.rate)
		return
	}
	a.known, a.ppm, a.u, a.span = true, ppm, l.u*1e6, l.span
	a.rate += clamp(l.slope-a.rate, rateChange*passed)
	a.floor = min(a.newest*1000+l.lag(a.newest), arrival) - a.newestT
	a.tied, a.tiedAt = true, l.last.us*1000+l.last.lag
	a.line.bend(a.newest, a.rate+clamp(float64(a.floor)/slewTime, maxSlew))
}

// Skew returns the device clock's rate error against the host's, positive = fast,
// and its standard uncertainty [ppm]. Until it is known, ppm is the assumption in
// force and u that of a rectangular distribution over all that is believed.
func (a *Aligner) Skew() (ppm, u float64, known bool) { return a.ppm, a.u, a.known }

// Span returns the device time over which the skew was found [s], 0 until known.
func (a *Aligner) Span() float64 { return a.span }

// Offset returns by how much times trail the least delayed arrivals [ns]. It is
// worked off slowly; if the first line of an epoch was late it is negative for long.
func (a *Aligner) Offset() int64 { return a.floor }

func clamp(x, limit float64) float64 { return max(-limit, min(x, limit)) }

// slopeOf returns host time over device time, minus one, of a clock that is fast by
// ppm; ppmOf is its inverse.
func slopeOf(ppm float64) float64 { return -ppm * 1e-6 / (1 + ppm*1e-6) }

func ppmOf(slope float64) float64 { return -slope / (1 + slope) * 1e6 }
