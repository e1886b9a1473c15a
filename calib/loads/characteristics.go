package loads

import (
	"math"
	"slices"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy"
)

// settled is from when on [s] after loading creep is counted, as ISO 376 does.
const settled = 30

// Characteristic is one line of the table that describes a cell.
type Characteristic struct {
	Name       string
	Force      energy.Estimate // [N]
	OfLargest  float64         // [1] of the largest load
	OfCapacity float64         // [1] of the capacity; NaN where it is not stated
}

// Characteristics returns those that the readings tell, in the trade's words.
func (r *Result) Characteristics() []Characteristic {
	var out []Characteristic
	for _, c := range []struct {
		name  string
		force energy.Estimate
	}{
		{"repeatability", r.Repeatability},
		{"reversibility", r.Reversibility},
		{"non-linearity", r.NonLinearity},
		{"return of zero", r.ZeroReturn},
		{"creep", r.Creep},
		{"lower limit factor", energy.Estimate{Value: r.LowerLimit}},
		{"standard uncertainty at the largest load", energy.Estimate{Value: r.Uncertainty(r.Largest)}},
	} {
		if c.force.Known() {
			ofLargest, ofCapacity := r.Share(c.force.Value)
			out = append(out, Characteristic{c.name, c.force, ofLargest, ofCapacity})
		}
	}
	return out
}

// characterise fills in the characteristics, in newtons.
func (r *Result) characterise(p *prepared, m, line, bent *model) {
	newtons := math.Abs(r.Values[Span])
	r.LowerLimit = 2.4 * r.Scatter
	r.Repeatability = p.repeatability(m, newtons, r.Scatter)
	r.Reversibility, r.NonLinearity, r.ZeroReturn, r.Creep = energy.None(), energy.None(), energy.None(), energy.None()
	for _, k := range m.reverse {
		if v := 2 * math.Abs(m.Values[k]) * newtons; !(v <= r.Reversibility.Value) {
			r.Reversibility = energy.Estimate{Value: v, U: 2 * m.U(k) * newtons}
		}
	}
	if bent != nil {
		r.NonLinearity = p.nonLinearity(line, bent, newtons)
	}
	if first, last := p.tares(); last > first {
		a, b := p.Readings[slices.Index(p.keys, "")], p.Readings[p.lastTare()]
		r.ZeroReturn = energy.Estimate{Value: newtons * math.Abs(b.Counts-a.Counts), U: r.Scatter * math.Sqrt2}
	}
	r.Creep = p.creep(newtons)
}

func (p *prepared) lastTare() int {
	j := len(p.keys) - 1
	for p.keys[j] != "" {
		j--
	}
	return j
}

// repeatability is the largest range of readings of one load reached from one side,
// drift of the zero taken off.
func (p *prepared) repeatability(m *model, newtons, scatter float64) energy.Estimate {
	out := energy.None()
	for i, k := range p.keys {
		for j := range i {
			if k != "" && p.keys[j] == k && p.courses[i] == p.courses[j] {
				if v := newtons * math.Abs(m.Residuals[i]-m.Residuals[j]); !(v <= out.Value) {
					out = energy.Estimate{Value: v, U: scatter * math.Sqrt2}
				}
			}
		}
	}
	return out
}

// nonLinearity is the largest distance at a load between quadratic and line, each fitted
// with a zero of its own.
func (p *prepared) nonLinearity(line, bent *model, newtons float64) energy.Estimate {
	var out energy.Estimate
	for _, f := range p.forces {
		d := bent.Values[atZero] - line.Values[atZero] + f*(bent.Values[atSlope]-line.Values[atSlope]+f*bent.Values[atSquare])
		if v := newtons * math.Abs(d); v >= out.Value {
			out = energy.Estimate{Value: v, U: v * bent.U(atSquare) / math.Abs(bent.Values[atSquare])}
		}
	}
	return out
}

// creep is the change from the mean of the readings about 30 s after loading to the mean
// of as many at the end; unknown for holds shorter than a minute.
func (p *prepared) creep(newtons float64) energy.Estimate {
	if len(p.Hold) == 0 || p.Hold[len(p.Hold)-1].T < 2*settled {
		return energy.None()
	}
	var early, late []float64
	end := p.Hold[len(p.Hold)-1].T
	const window = 5 // [s]
	for _, m := range p.Hold {
		switch {
		case math.Abs(m.T-settled) <= window:
			early = append(early, m.Counts)
		case m.T >= end-2*window:
			late = append(late, m.Counts)
		}
	}
	a, err := fit.Repeat(early)
	if err != nil {
		return energy.None()
	}
	b, err := fit.Repeat(late)
	if err != nil {
		return energy.None()
	}
	return energy.Estimate{Value: newtons * math.Abs(b.Mean-a.Mean), U: newtons * math.Hypot(a.U, b.U)}
}

// judge adds the doubts.
func (r *Result) judge(p *prepared, m *model) {
	n := &r.Doubts
	if m.Spare < 4 {
		n.Add(doubt.Few, "%d readings for %d numbers: the uncertainty itself is hardly known, take a second series", len(p.forces), len(p.forces)-m.Spare)
	}
	if !r.Repeatability.Known() {
		n.Add(doubt.NoRepeat, "no load was read twice from the same side: repeatability is not seen")
	}
	if len(m.reverse) == 0 {
		n.Add(doubt.NoReturn, "no load was reached from above: take the masses off one by one to see the reversibility")
	}
	if !r.ZeroReturn.Known() {
		n.Add(doubt.NoTare, "the unloaded cell was not read before and after: drift of the zero is not seen")
	} else if v := r.ZeroReturn; v.Value > math.Max(3*v.U, 1e-3*r.Largest) {
		n.Add(doubt.Set, "unloaded, the reading came back %.2g N off: let the cell rest, and repeat", v.Value)
	}
	if p.disordered() {
		n.Add(doubt.Order, "loads neither rose nor fell in order between two tare readings: reversibility may stand in the scatter")
	}
	if r.Capacity > 0 && r.Largest < 0.2*r.Capacity {
		n.Add(doubt.Narrow, "the largest load is %.2g of the capacity: the curve is not known above it", r.Largest/r.Capacity)
	}
	if s := math.Abs(r.Values[Span]); p.Nominal != 0 && math.Abs(s/math.Abs(p.Nominal)-1) > 0.2 {
		n.Add(doubt.Scale, "the span is %.3g times what is stated for the cell: check masses, gain and wiring", s/math.Abs(p.Nominal))
	}
	if c := r.Creep; c.Known() && c.Value > math.Max(3*c.U, 1e-3*r.Largest) {
		n.Add(doubt.Creep, "under the largest load the reading went on by %.2g N after half a minute", c.Value)
	}
	if g, err := fit.Grubbs(m.Residuals, 0.01, fit.EitherSide); err == nil && g.Outlier {
		n.Add(doubt.Odd, "reading %d stands apart by %.2g N: look at what happened, it was kept", g.Index+1, math.Abs(r.Residuals[g.Index]))
	}
}

// disordered reports whether, between two tare readings, loads rise again after they
// fell.
func (p *prepared) disordered() bool {
	falling := false
	for i, c := range p.courses {
		switch {
		case c == 0:
			falling = false
		case c == -1:
			falling = true
		case falling && p.forces[i] > p.forces[i-1]:
			return true
		}
	}
	return false
}
