package daq

import (
	"math"

	"joulewell/energy"
)

// forceLine keeps the newest forces in order of time, so that force can be read at
// the instant of a distance. Conversions are placed where they belong by taking off
// the converter's delay.
type forceLine struct {
	delay int64 // [ns]
	ring  [forceKept]forcePoint
	end   uint64 // points ever added
}

type forcePoint struct {
	t     int64 // [ns]
	force energy.Estimate
}

const (
	forceKept = 1024        // points: a second of the fastest converter
	forceGap  = 150_000_000 // [ns] longest silence that is bridged by a straight line
)

func newForceLine(delay float64) forceLine { return forceLine{delay: nanoseconds(delay)} }

func (l *forceLine) reset() { l.end = 0 }

func (l *forceLine) add(t int64, force energy.Estimate) {
	t -= l.delay
	if l.end > 0 && t <= l.point(1).t {
		return
	}
	l.ring[l.end%forceKept] = forcePoint{t, force}
	l.end++
}

// point returns the n-th newest point, counted from 1.
func (l *forceLine) point(n uint64) *forcePoint { return &l.ring[(l.end-n)%forceKept] }

// at returns the force at t by a straight line between the conversions on either
// side; absent where there are none near enough. noise [N] is that of one conversion.
func (l *forceLine) at(t int64, noise float64) energy.Estimate {
	kept := min(l.end, forceKept)
	for n := uint64(1); n <= kept; n++ {
		before := l.point(n)
		if before.t > t {
			continue
		}
		if before.t == t {
			return energy.Estimate{Value: before.force.Value, U: math.Hypot(before.force.U, noise)}
		}
		if n == 1 {
			break // nothing after t
		}
		after := l.point(n - 1)
		if after.t-before.t > forceGap {
			break
		}
		share := float64(t-before.t) / float64(after.t-before.t)
		return energy.Estimate{
			Value: before.force.Value + share*(after.force.Value-before.force.Value),
			U: math.Hypot(before.force.U+share*(after.force.U-before.force.U),
				noise*math.Hypot(share, 1-share)),
		}
	}
	return energy.None()
}
