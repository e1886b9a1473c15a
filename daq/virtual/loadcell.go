package virtual

import (
	"math"
	"math/rand/v2"
)

// settling is the number of conversion periods that a bridge converter averages over:
// it settles in four, so its delay is two (common practice, no source).
const settling = 4

// fullScale is the largest count of a 24-bit converter; the smallest is one less than
// its negative.
const fullScale = 1<<23 - 1

// loadCell is the bridge and converter at work. It reads the tension at the spring's
// top as the mean over the last four periods.
type loadCell struct {
	LoadCell
	rig    *Rig
	still  *still // nil while the bob swings
	rng    *rand.Rand
	period float64 // [s] true time from conversion to conversion
	up     int64   // [ns] true time of its power-up
	taken  int64   // conversions begun since
	ring   [settling]struct {
		at      int64   // [ns]
		impulse float64 // [N s]
	}
}

func newLoadCell(c *Config, rig *Rig) *loadCell {
	l := &loadCell{LoadCell: c.Load, rig: rig, rng: stream(c.Seed, "load cell")}
	l.period = 1 / (l.Rate * (1 + l.RateOffset))
	return l
}

// power starts the converter anew at the instant at [ns].
func (l *loadCell) power(at int64) {
	l.up, l.taken = at, 0
	l.keep(at)
}

// due returns the instant [ns] of the next conversion of a cell with its own clock.
func (l *loadCell) due() int64 {
	return l.up + nanoseconds(float64(l.taken)*l.period)
}

// keep remembers the impulse at the instant at [ns] and returns the instant and the
// impulse that it replaces.
func (l *loadCell) keep(at int64) (was int64, impulse float64, now float64) {
	slot := &l.ring[l.taken%settling]
	was, impulse = slot.at, slot.impulse
	slot.at, slot.impulse = at, l.rig.look(at).impulse
	l.taken++
	return was, impulse, slot.impulse
}

// convert fills m with the indication ready at the instant at [ns] and returns the
// true mean tension [N] that it stands for. It is missing until the converter has
// settled.
func (l *loadCell) convert(m *indication, at int64) (force float64) {
	gauss := l.rng.NormFloat64()
	settled := l.taken >= settling
	was, old, now := l.keep(at)
	m.unit, m.noise, m.missing = 1/l.Span, l.Noise, !settled
	if !settled {
		return math.NaN()
	}
	force = (now - old) / (float64(at-was) * 1e-9)
	if l.still != nil {
		force = l.still.load
	}
	m.raw = l.Zero + (force+l.wander(at)+l.Noise*gauss)/l.Span
	return force
}

// wander returns the slow thermal drift [N] at the instant at [ns].
func (l *loadCell) wander(at int64) float64 {
	if l.Drift == 0 {
		return 0
	}
	return l.Drift * math.Sin(2*math.Pi*float64(at)*1e-9/l.DriftTime)
}

// rounded returns the number that the cell states: counts between the ends of the
// converter's range, or steps of a stated force.
func (l *loadCell) rounded(raw float64) float64 {
	if l.Newtons {
		return inSteps(raw, l.Resolution)
	}
	return min(max(math.Round(raw), -fullScale-1), fullScale)
}
