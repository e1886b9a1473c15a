// Package dwell answers: is this indication at rest, and what is it?
//
// In: the readings of one sensor as they come, with their times. Out: mean, drift and
// noise over the last few seconds, the standard uncertainty of the mean, and whether
// these are what a sensor of this noise shows of something that does not move. A person
// who calibrates takes readings only then. It refuses nothing: a reading that is not
// finite makes the dwell begin anew.
package dwell

import (
	"fmt"
	"math"
	"strings"

	"joulewell/energy/quantity"
)

// Options say what is asked of a dwell.
type Options struct {
	Span  float64 // [s] over which the indication must rest (default 3)
	Noise float64 // [indication] standard deviation of one reading; 0 = found from the readings themselves
	Least int     // [1] readings needed (default 20)
	Unit  string  // of the indication, for what is said of it
}

// Dwell holds the readings of the last few seconds. The zero Dwell is not usable, see
// [New]. It is not safe for concurrent use.
type Dwell struct {
	opt    Options
	times  []float64 // [s]
	values []float64
	full   bool // the readings reach back over the whole span
}

// New returns a Dwell without readings.
func New(o Options) *Dwell {
	if o.Span == 0 {
		o.Span = 3
	}
	if o.Least == 0 {
		o.Least = 20
	}
	return &Dwell{opt: o}
}

// Reset forgets all readings: something was changed, the rest begins anew.
func (d *Dwell) Reset() { d.times, d.values, d.full = d.times[:0], d.values[:0], false }

// Add takes the reading v at the time t [s], which must not be earlier than the one
// before; a time that is, or a value that is not finite, begins the dwell anew.
func (d *Dwell) Add(t, v float64) {
	if n := len(d.times); math.IsNaN(t+v) || math.IsInf(t+v, 0) || n > 0 && t < d.times[n-1] {
		d.Reset()
		return
	}
	d.times, d.values = append(d.times, t), append(d.values, v)
	old := 0
	for d.times[old] < t-d.opt.Span {
		old++
	}
	if old > 0 {
		d.full = true
	}
	if old > len(d.times)/2 || old > 4096 { // moved in large steps only
		n := copy(d.times, d.times[old:])
		copy(d.values, d.values[old:])
		d.times, d.values = d.times[:n], d.values[:n]
	}
}

// State is what the readings of the last few seconds show.
type State struct {
	Steady   bool
	Reason   string  // why not, in words; empty when steady
	Readings int     // [1]
	Mean     float64 // [indication]
	U        float64 // [indication] standard uncertainty of Mean, from the scatter
	Noise    float64 // [indication] standard deviation of one reading about a straight line
	Drift    float64 // [indication] by which that line rises over the span
	Age      float64 // [s] from the first reading in it to the last
}

const (
	blocks = 8   // into which a dwell is parted to see slow wandering
	wide   = 1.5 // times its noise that a sensor at rest may scatter
	sure   = 3.0 // standard uncertainties that a drift may have come from noise
)

// State looks at the readings of the span. It takes time in proportion to their number.
func (d *Dwell) State() State {
	from := 0
	n := len(d.times)
	for from < n && d.times[from] < d.times[n-1]-d.opt.Span {
		from++
	}
	times, values := d.times[from:], d.values[from:]
	n = len(times)
	s := State{Readings: n}
	if n > 0 {
		s.Age = times[n-1] - times[0]
	}
	if n < 3 {
		s.Reason = "too few readings so far"
		return s
	}
	l := lineThrough(times, values)
	s.Mean, s.Noise, s.Drift = l.mean, l.scatter, l.slope*d.opt.Span
	s.U = max(s.Noise/math.Sqrt(float64(n)), spread(values))
	expected := d.opt.Noise
	if expected == 0 {
		expected = ownNoise(values)
	}
	switch drift := math.Abs(s.Drift); {
	case n >= d.opt.Least && s.Noise > wide*expected: // which needs no whole span to be seen
		s.Reason = fmt.Sprintf("moving: it scatters by %s, the sensor's own noise is %s", d.text(s.Noise), d.text(expected))
	case !d.full || n < d.opt.Least:
		s.Reason = fmt.Sprintf("wait: %.1f s with %d readings so far, %.3g s and %d are needed", s.Age, n, d.opt.Span, d.opt.Least)
	case drift > expected/2 && drift > sure*l.slopeU*d.opt.Span:
		s.Reason = fmt.Sprintf("drifting by %s in %.3g s", d.text(s.Drift), d.opt.Span)
	default:
		s.Steady = true
	}
	return s
}

// text writes an indication to two figures, never as a power of ten.
func (d *Dwell) text(v float64) string {
	return strings.TrimSuffix(quantity.Round(v, quantity.Decimals(v))+" "+d.opt.Unit, " ")
}

// line is a straight line through readings.
type line struct{ mean, slope, slopeU, scatter float64 }

func lineThrough(times, values []float64) line {
	n := float64(len(times))
	var tm, vm float64
	for i, t := range times {
		tm += t / n
		vm += values[i] / n
	}
	var stt, stv, svv float64
	for i, t := range times {
		dt, dv := t-tm, values[i]-vm
		stt += dt * dt
		stv += dt * dv
		svv += dv * dv
	}
	l := line{mean: vm}
	if stt > 0 {
		l.slope = stv / stt
	}
	l.scatter = math.Sqrt(max(0, svv-l.slope*stv) / (n - 2))
	if stt > 0 {
		l.slopeU = l.scatter / math.Sqrt(stt)
	}
	return l
}

// spread is the standard uncertainty of the mean by the means of blocks: larger than
// that by single readings where these wander slowly.
func spread(values []float64) float64 {
	if len(values) < 2*blocks {
		return 0
	}
	var means [blocks]float64
	var mean float64
	for i := range means {
		block := values[i*len(values)/blocks : (i+1)*len(values)/blocks]
		for _, v := range block {
			means[i] += v / float64(len(block))
		}
		mean += means[i] / blocks
	}
	var sum float64
	for _, m := range means {
		sum += (m - mean) * (m - mean)
	}
	return math.Sqrt(sum / (blocks - 1) / blocks)
}

// apart is how many readings lie between two that are compared for noise: a converter
// that filters makes neighbours alike.
const apart = 5

// ownNoise is the standard deviation of a reading by the differences of readings a few
// apart, which slow motion hardly touches.
func ownNoise(values []float64) float64 {
	n := len(values) - apart
	if n < 1 {
		return math.Inf(1)
	}
	var sum float64
	for i := range n {
		d := values[i+apart] - values[i]
		sum += d * d
	}
	return math.Sqrt(sum / float64(2*n))
}
