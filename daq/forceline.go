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
	n := l.notAfter(t)
	if n == 0 {
		return energy.None()
	}
	before := l.point(n)
	if before.t == t {
		return energy.Estimate{Value: before.force.Value, U: root2(before.force.U, noise)}
	}
	if n == 1 {
		return energy.None() // nothing after t yet
	}
	after := l.point(n - 1)
	if after.t-before.t > forceGap {
		return energy.None()
	}
	share := float64(t-before.t) / float64(after.t-before.t)
	return energy.Estimate{
		Value: before.force.Value + share*(after.force.Value-before.force.Value),
		U: root2(before.force.U+share*(after.force.U-before.force.U),
			noise*root2(share, 1-share)),
	}
}

// notAfter returns which point, counted from the newest as 1, is the last that is not
// after t; 0 when none is.
func (l *forceLine) notAfter(t int64) uint64 {
	low, high := uint64(1), min(l.end, forceKept)+1 // the answer, or high when there is none
	oldest := high
	for low < high {
		middle := (low + high) / 2
		if l.point(middle).t <= t {
			high = middle
		} else {
			low = middle + 1
		}
	}
	if low == oldest {
		return 0
	}
	return low
}

// root2 is the square root of the sum of two squares, for numbers far from the ends of
// the range that math.Hypot takes its time over.
func root2(a, b float64) float64 { return math.Sqrt(a*a + b*b) }
