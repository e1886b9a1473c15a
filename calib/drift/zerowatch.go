package drift

import (
	"fmt"
	"math"

	"joulewell/calib/drift/allan"
	"joulewell/calib/drift/chart"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// WatchPlan says how an idle bench is watched.
type WatchPlan struct {
	Dwell    float64    // [s] of readings behind one record
	Settle   float64    // [s] after a motion or a silence during which readings are left out
	Gap      float64    // [s] between two readings from which on it is a silence
	Baseline int        // [1] first records, from which the level is learnt
	Charts   chart.Plan // of the records after them
	Needed   float64    // [reading] off the level up to which the work is served; +Inf = any
}

// Settling is how long a bench that moved is left out after it came to rest [s]: longer
// than a swing takes from one turning point to the next, at which it seems to rest.
const Settling = 5.0

// TenMinutes is a plan for a bench left alone: a record in ten minutes, the level learnt in
// six hours of rest.
func TenMinutes(needed float64) WatchPlan {
	return WatchPlan{Dwell: 600, Settle: Settling, Gap: 1, Baseline: 36, Charts: chart.Idle, Needed: needed}
}

// Rest is one record of an idle bench.
type Rest struct {
	From, To int64           // [ns] of the first and last reading
	Mean     energy.Estimate // [reading] U from the Allan deviation at this dwell
	Readings int             // [1]
	Signal   chart.Signal    // Since counts records after the baseline; always none within it
	Moved    float64         // [reading] Mean less the level; NaN within the baseline
	State    State           // InControl while no chart signals
}

// ZeroWatch makes records of the readings of a bench at rest and charts them, in bounded
// memory and without allocating. It is for one goroutine.
//
// The charts take the records as independent. Those of a sensor at its Allan floor are
// not: where nothing but flicker is left in them, half of the watches signal within some
// 15 records (own draws), for the zero has indeed wandered. So a signal by itself means
// [Look], and only one with more than Needed means [Recalibrate].
type ZeroWatch struct {
	plan     WatchPlan
	baseline []float64
	charts   chart.Charts
	learnt   bool
	stream   allan.Stream

	last   int64 // [ns] time of the last reading
	quiet  int64 // [ns] readings count from here on
	begun  bool  // some reading has come
	from   int64
	anchor float64 // first reading of the dwell; the others are summed less this
	sum    float64
	n      int
}

// NewZeroWatch starts a watch. It wants a dwell no shorter than the gap, both positive, a
// baseline of two records or more, and to know what is needed.
func NewZeroWatch(p WatchPlan) (*ZeroWatch, error) {
	const doing = "start a watch of the zero"
	if !(p.Gap > 0) || !(p.Dwell >= p.Gap) || !(p.Dwell < 1e8) || !(p.Settle >= 0) || !(p.Settle < 1e8) {
		return nil, fmt.Errorf("%s: dwell %g s, gap %g s, settling %g s: want settling >= 0, gap > 0, dwell no shorter than the gap", doing, p.Dwell, p.Gap, p.Settle)
	}
	if p.Baseline < 2 {
		return nil, fmt.Errorf("%s: baseline of %s: at least 2 are needed", doing, quantity.Count(p.Baseline, "record"))
	}
	if !(p.Needed > 0) {
		return nil, fmt.Errorf("%s: needed = %g: must be positive", doing, p.Needed)
	}
	if err := p.Charts.Check(); err != nil {
		return nil, fmt.Errorf("%s: %w", doing, err)
	}
	return &ZeroWatch{plan: p, baseline: make([]float64, 0, p.Baseline)}, nil
}

// Add takes the next reading, taken at t [ns], and tells when it completes a record. A
// reading that is no number changes nothing, unless the bench moves. A motion, a silence,
// or a time that runs back drops the record begun; the chart and what was learnt stay.
func (w *ZeroWatch) Add(t int64, reading float64, atRest bool) (Rest, bool) {
	if atRest && (math.IsNaN(reading) || math.IsInf(reading, 0)) {
		return Rest{}, false
	}
	broken := !w.begun || t <= w.last || t-w.last > nanoseconds(w.plan.Gap)
	w.last, w.begun = t, true
	if broken || !atRest {
		w.n = 0
		w.stream.Break()
		w.quiet = t + nanoseconds(w.plan.Settle)
	}
	if !atRest || t < w.quiet {
		return Rest{}, false
	}
	if w.n == 0 {
		w.from, w.anchor, w.sum = t, reading, 0
	}
	w.n++
	w.sum += reading - w.anchor
	w.stream.Add(reading)
	if t-w.from < nanoseconds(w.plan.Dwell) {
		return Rest{}, false
	}
	return w.complete(t), true
}

func nanoseconds(s float64) int64 { return int64(s * 1e9) }

// complete makes a record of the dwell and starts the next.
func (w *ZeroWatch) complete(t int64) Rest {
	mean := w.anchor + w.sum/float64(w.n)
	r := Rest{
		From: w.from, To: t, Readings: w.n,
		Mean:  energy.Estimate{Value: mean, U: w.uncertainty(w.n)},
		Moved: math.NaN(), State: InControl,
	}
	w.n = 0
	if !w.learnt {
		w.learn(mean)
		return r
	}
	r.Signal = w.charts.Add(mean)
	r.Moved = mean - w.charts.Level.Mean
	if r.Signal.Rule != chart.None {
		r.State = Look
		if math.Abs(r.Moved) > w.plan.Needed {
			r.State = Recalibrate
		}
	}
	return r
}

// learn adds a record to the baseline. A full baseline whose records are all alike is
// begun anew: the sensor shows nothing, which is not this watch's to judge.
func (w *ZeroWatch) learn(mean float64) {
	w.baseline = append(w.baseline, mean)
	if len(w.baseline) < w.plan.Baseline {
		return
	}
	level, err := chart.Learn(w.baseline)
	w.baseline = w.baseline[:0]
	if err == nil {
		w.charts, err = chart.New(level, w.plan.Charts)
		w.learnt = err == nil
	}
}

// uncertainty is the Allan deviation at an averaging time of n readings, between octaves
// on a straight line of the logarithms. Beyond the last octave seen often enough the
// deviation is taken to fall no further: rather too large than too small.
func (w *ZeroWatch) uncertainty(n int) float64 {
	const enough = 8 // differences behind an octave
	before := math.NaN()
	for k := 0; ; k++ {
		value, terms := w.stream.Value(k)
		if terms < enough && k > 0 || terms == 0 {
			return before
		}
		if 1<<k >= n {
			part := math.Log2(float64(n)) - float64(k-1)
			if k == 0 || before == 0 {
				return value
			}
			return before * math.Pow(value/before, part)
		}
		before = value
	}
}

// Level returns what the charts hold the records against, or false while it is being
// learnt.
func (w *ZeroWatch) Level() (chart.Level, bool) { return w.charts.Level, w.learnt }

// Hold starts the charts against a stated level, such as one kept from before a restart.
func (w *ZeroWatch) Hold(l chart.Level) error {
	charts, err := chart.New(l, w.plan.Charts)
	if err != nil {
		return fmt.Errorf("hold the zero against a level: %w", err)
	}
	w.charts, w.learnt = charts, true
	w.baseline = w.baseline[:0]
	return nil
}

// Reset learns the level anew, as after the zero was set or the sensor calibrated. What
// is known of the noise stays.
func (w *ZeroWatch) Reset() {
	w.learnt, w.n = false, 0
	w.baseline = w.baseline[:0]
	w.stream.Break()
}

// Noise returns the Allan deviations of all readings at rest so far, interval [s] apart,
// with intervals of 95 %.
func (w *ZeroWatch) Noise(interval float64) ([]allan.Deviation, error) {
	return w.stream.Octaves(interval, 0.95)
}
