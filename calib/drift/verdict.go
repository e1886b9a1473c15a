package drift

import (
	"fmt"
	"math"
	"time"

	"joulewell/calib/drift/chart"
	"joulewell/energy"
	"joulewell/energy/quantity"
)

// State is a verdict in a word or two.
type State string

// The states.
const (
	InControl   State = "in control"
	Look        State = "look"        // it has moved, by less than matters
	Recalibrate State = "recalibrate" // it is off by more than the work allows
)

// Rules say how a history is judged.
type Rules struct {
	Baseline int        // [1] records, from the first one on, that show the level while all was well
	From, To time.Time  // in place of Baseline: the span of time that shows the level, ends included
	SD       float64    // [unit] standard deviation of a record where it is known otherwise; 0 = from the baseline
	Needed   float64    // [unit] deviation up to which the work is served, such as the standard uncertainty asked of the sensor
	Plan     chart.Plan // the zero Plan stands for [chart.Usual]
}

// Verdict is what a history comes to at its last record.
type Verdict struct {
	State     State
	Rule      chart.Rule      // what signals; None when nothing does
	Since     time.Time       // first record of the change, when something signals
	Deviation energy.Estimate // [unit] at present: mean of the last records since then, four at most
	Level     chart.Level     // the deviations are charted against; in [unit]
	Reason    string          // one sentence
}

// recent is how many records make the present deviation: fewer follow a drift more
// closely, more are steadier.
const recent = 4

// Judge charts the deviations of one standard that follow the baseline and looks at the
// charts after the last of them:
//
//   - in control: no chart signals and the deviation is within what is needed;
//   - look: a chart signals, the deviation is within what is needed;
//   - recalibrate: the deviation is beyond what is needed, and a chart signals or the
//     baseline was off already.
//
// A single record beyond what is needed which no chart confirms changes nothing. The
// history must not reach back over a calibration ([History.Since]). It wants two records
// in the baseline and one after it, at the least.
func Judge(h History, r Rules) (Verdict, error) {
	const doing = "judge the check records"
	if err := h.alone(3); err != nil {
		return Verdict{}, fmt.Errorf("%s: %w", doing, err)
	}
	if !(r.Needed > 0) || math.IsInf(r.Needed, 0) || !(r.SD >= 0) || math.IsInf(r.SD, 0) {
		return Verdict{}, fmt.Errorf("%s: needed = %g %s, standard deviation %g %s: must be finite, the first positive", doing, r.Needed, h.Unit, r.SD, h.Unit)
	}
	if r.Plan == (chart.Plan{}) {
		r.Plan = chart.Usual
	}
	first, end := r.baseline(h)
	if end-first < 2 || end >= len(h.Records) {
		return Verdict{}, fmt.Errorf("%s: %s in the baseline, %d after it: at least 2 and 1 are needed", doing, quantity.Count(end-first, "record"), len(h.Records)-end)
	}
	all := h.Deviations()
	level, err := r.level(all[first:end])
	if err != nil {
		return Verdict{}, fmt.Errorf("%s: %w", doing, err)
	}
	charts, err := chart.New(level, r.Plan)
	if err != nil {
		return Verdict{}, fmt.Errorf("%s: %w", doing, err)
	}
	var signal chart.Signal
	for _, d := range all[end:] {
		signal = charts.Add(d)
	}
	v := Verdict{State: InControl, Rule: signal.Rule, Level: level}
	v.Deviation = present(h.Records[end+signal.Since:], level)
	if signal.Rule != chart.None {
		v.State = Look
		v.Since = h.Records[end+signal.Since].When
	}
	off := math.Abs(v.Deviation.Value) > r.Needed
	if off && signal.Rule != chart.None || math.Abs(level.Mean) > r.Needed && off {
		v.State = Recalibrate
	}
	v.explain(h.Unit, r.Needed, signal.Side)
	return v, nil
}

// baseline returns the first record that shows the level and the one after the last.
func (r *Rules) baseline(h History) (first, end int) {
	if r.From.IsZero() && r.To.IsZero() {
		return 0, max(0, r.Baseline)
	}
	for i := range h.Records {
		when := h.Records[i].When
		if when.Before(r.From) {
			first = i + 1
		}
		if !when.After(r.To) {
			end = i + 1
		}
	}
	return first, end
}

func (r *Rules) level(baseline []float64) (chart.Level, error) {
	if r.SD == 0 {
		return chart.Learn(baseline)
	}
	level := chart.Level{SD: r.SD, N: len(baseline)}
	for _, d := range baseline {
		level.Mean += d / float64(len(baseline))
	}
	return level, nil
}

// present is the mean deviation of the last records, the uncertainty of their standard
// included.
func present(records []Record, level chart.Level) energy.Estimate {
	last := records[max(0, len(records)-recent):]
	var mean, reference float64
	for i := range last {
		mean += last[i].Deviation().Value / float64(len(last))
		reference += last[i].Reference.U / float64(len(last))
	}
	return energy.Estimate{Value: mean, U: math.Hypot(level.SD/math.Sqrt(float64(len(last))), reference)}
}

// explain gives the reason in one sentence.
func (v *Verdict) explain(u Unit, needed float64, side chart.Side) {
	against := "within"
	if math.Abs(v.Deviation.Value) > needed {
		against = "beyond"
	}
	size := fmt.Sprintf("the deviation is %+.3g %s (standard uncertainty %.2g), %s the %.3g %s needed",
		v.Deviation.Value, u, v.Deviation.U, against, needed, u)
	switch {
	case v.Rule != chart.None:
		way := "up"
		if side == chart.Low {
			way = "down"
		}
		v.Reason = fmt.Sprintf("%s: %s, %s since %s; %s", v.State, v.Rule, way, v.Since.UTC().Format(time.DateOnly), size)
	case v.State == Recalibrate:
		v.Reason = fmt.Sprintf("%s: off by %+.3g %s from the baseline on; %s", v.State, v.Level.Mean, u, size)
	default:
		v.Reason = fmt.Sprintf("%s: no chart signals; %s", v.State, size)
	}
}
