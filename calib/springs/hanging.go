package springs

import (
	"fmt"
	"math"
	"slices"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/calib/masses"
	"joulewell/energy"
)

// Hung is one length under one load.
type Hung struct {
	Load   []string        // names of the pieces; none for the spring by itself
	Length energy.Estimate // [m] of the spring between its ends; U: reading it
}

// Hanging is all that was read with masses on the spring.
type Hanging struct {
	Masses     masses.Set
	SpringMass energy.Estimate // [kg]
	Natural    energy.Estimate // [m] length lying unloaded; NaN = not measured, then initial tension stays unknown
	Rule       float64         // [1] relative standard uncertainty of the rule's length
	Readings   []Hung          // in the order they were taken, up and down
}

const (
	leastLoads  = 3
	unsteady    = 0.02 // [m] standard uncertainty beyond which a rest is none
	longest     = 10   // [m] of a spring at such a bench
	opensBelow  = 0.01 // probability of the residuals below which a straight line is given up
	springInput = "spring mass"
	ruleInput   = "rule"
)

// hung is a Hanging made ready.
type hung struct {
	*Hanging
	forces []float64 // [N] of each reading
	levels []float64 // [N] the different ones, rising
}

// Calibrate works out rate and initial tension: with every coil open
//
//	length = natural + (load + w/2 - F0)/k
//
// (w the spring's weight), a straight line fitted to the lengths with their reading
// uncertainties and with what pieces, gravity and rule did to several of them together.
func (h Hanging) Calibrate() (*Result, error) {
	p, err := h.prepare()
	if err != nil {
		return nil, err
	}
	all, err := p.above(0)
	if err != nil {
		return nil, err
	}
	best, cut := all, 0
	for c := 0; len(p.levels)-c >= leastLoads; c++ {
		r := all
		if c > 0 {
			if r, err = p.above(c); err != nil {
				return nil, err
			}
		}
		if p.straight(r, c) {
			best, cut = r, c
			break
		}
	}
	best.settle(best.line)
	p.judge(best, cut)
	return best.Result, nil
}

func (h *Hanging) prepare() (*hung, error) {
	const doing = "calibrate spring by hanging masses"
	if err := h.Masses.Check(); err != nil {
		return nil, fmt.Errorf("%s: %w", doing, err)
	}
	if err := checkSpring(doing, h.SpringMass, h.Masses.Gravity); err != nil {
		return nil, err
	}
	if n := h.Natural; n.Known() && (!(n.Value >= 0 && n.Value < longest) || !doubt.Uncertain(n.U)) || !doubt.Uncertain(h.Rule) {
		return nil, fmt.Errorf("%s: %w: natural length %g m, uncertainty %g m, rule %g: is it in metres?", doing, doubt.ErrUnit, n.Value, n.U, h.Rule)
	}
	p := &hung{Hanging: h}
	for i, r := range h.Readings {
		f, err := h.Masses.Force(r.Load)
		switch {
		case err != nil:
			return nil, fmt.Errorf("%s: reading %d: %w", doing, i+1, err)
		case !doubt.Finite(r.Length.Value) || !(r.Length.U > 0) || !doubt.Uncertain(r.Length.U):
			return nil, fmt.Errorf("%s: reading %d: %w: length %g m, uncertainty %g m: no length is read exactly, to 1 mm it has 0.3 mm", doing, i+1, doubt.ErrNumber, r.Length.Value, r.Length.U)
		case !(r.Length.Value > 0 && r.Length.Value < longest):
			return nil, fmt.Errorf("%s: reading %d: %w: length %g m: must lie between 0 and %d m", doing, i+1, doubt.ErrUnit, r.Length.Value, longest)
		case r.Length.U > unsteady:
			return nil, fmt.Errorf("%s: reading %d: %w: uncertain by %.2g m: wait until it hangs still", doing, i+1, doubt.ErrUnsteady, r.Length.U)
		}
		p.forces = append(p.forces, f)
		if !slices.Contains(p.levels, f) {
			p.levels = append(p.levels, f)
		}
	}
	slices.Sort(p.levels)
	if n := len(p.levels); n < leastLoads {
		return nil, fmt.Errorf("%s: %w: %d readings of %d different loads: at least %d are needed, better 6", doing, doubt.ErrFew, len(h.Readings), n, leastLoads)
	}
	return p, nil
}

// lined is a result with the line it came from.
type lined struct {
	*Result
	line *fit.Regression // length over load: values [m], [m/N]
}

// above fits the line to the readings whose load is the c-th different one or larger.
func (p *hung) above(c int) (*lined, error) {
	r := &Result{Way: "hanging masses"}
	var rows [][]float64
	var y, u, lengths []float64
	for i, f := range p.forces {
		if f >= p.levels[c] {
			l := p.Readings[i].Length
			r.Used = append(r.Used, i)
			rows, y, u = append(rows, []float64{1, f}), append(y, l.Value), append(u, l.U)
			lengths = append(lengths, p.Rule*l.Value)
		}
	}
	first, err := fit.Stated(rows, y, u, nil)
	if err != nil {
		return nil, fmt.Errorf("calibrate spring by hanging masses: %w: %w", doubt.ErrFew, err)
	}
	// A load stated too high is as if the length were read too short.
	sources := p.Masses.Sources(func(s *masses.Set) []float64 {
		out := make([]float64, len(r.Used))
		for i, at := range r.Used {
			f, _ := s.Force(p.Readings[at].Load) // checked before
			out[i] = -first.Values[1] * f
		}
		return out
	})
	sources = append(sources, fit.Source{Name: ruleInput, Effects: lengths})
	line, err := fit.Stated(rows, y, u, sources)
	if err != nil {
		return nil, fmt.Errorf("calibrate spring by hanging masses: %w", err)
	}
	if !(line.Values[1] > 0) {
		return nil, fmt.Errorf("calibrate spring by hanging masses: %w: the spring gets shorter under larger loads: are lengths and loads in the same order?", doubt.ErrContradict)
	}
	r.Residuals = line.Residuals
	r.Joint = p.values(&line.Joint)
	return &lined{r, &line}, nil
}

// values turns a line into rate and initial tension.
func (p *hung) values(line *fit.Joint) fit.Joint {
	all := *line
	if !p.Natural.Known() {
		return all.Through(func(x []float64) []float64 { return []float64{1 / x[1]} })
	}
	all = all.With("natural length", p.Natural.Value, p.Natural.U)
	for _, s := range all.Sources {
		if s.Name == ruleInput {
			s.Effects[len(s.Effects)-1] = p.Rule * p.Natural.Value // read on the same rule
		}
	}
	all = all.With(springInput, p.SpringMass.Value, p.SpringMass.U)
	all = all.With("gravity", p.Masses.Gravity.Value, p.Masses.Gravity.U)
	return all.Through(func(x []float64) []float64 {
		rate := 1 / x[1]
		return []float64{rate, x[3]*x[4]/2 - rate*(x[0]-x[2])}
	})
}

// straight reports whether the readings from the c-th load on lie on a line of open
// coils, and those left out where closed coils put them: none short of the line, for a
// spring cannot be shorter than closed, and at least one clearly beyond.
func (p *hung) straight(r *lined, c int) bool {
	if r.line.Agreement() < opensBelow {
		return false
	}
	if f := r.Estimate(Tension); f.Known() && p.levels[c] < f.Value-2*f.U {
		return false
	}
	beyond := c == 0
	for i, f := range p.forces {
		l := p.Readings[i].Length
		off := (l.Value - r.line.Values[0] - r.line.Values[1]*f) / l.U
		if f < p.levels[c] && off < -3 {
			return false
		}
		beyond = beyond || f < p.levels[c] && off > 3
	}
	return beyond
}

// judge adds the doubts.
func (p *hung) judge(r *lined, cut int) {
	n := &r.Doubts
	used := len(p.levels) - cut
	if used < leastLoads+2 {
		n.Add(doubt.Few, "%d different loads for two numbers: a slip would hardly show, take 6", used)
	}
	if cut > 0 {
		n.Add(doubt.Opening, "loads up to %.3g N were left out: the spring was longer than the line of the others has it, as with coils still closed", p.levels[cut-1])
	}
	if k, f := r.Values[Rate], r.Estimate(Tension); f.Value < -2*f.U {
		n.Add(doubt.Length, "the initial tension comes out at %.3g N, which cannot be: the natural length is stated %.1f mm too short, or the lengths too long", f.Value, -1e3*f.Value/k)
	}
	first, last := -1, -1 // of the smallest load
	for i, f := range p.forces {
		if f == p.levels[0] {
			if first < 0 {
				first = i
			}
			last = i
		}
	}
	a, b := p.Readings[first].Length, p.Readings[last].Length
	if off := b.Value - a.Value; first != last && math.Abs(off) > 3*math.Hypot(a.U, b.U) {
		n.Add(doubt.Set, "under the smallest load the spring came back %.1f mm longer: it was drawn beyond its elastic range, or a hook moved", 1e3*off)
	}
	if g, err := fit.Grubbs(r.Residuals, 0.01, fit.EitherSide); err == nil && g.Outlier {
		n.Add(doubt.Odd, "reading %d stands apart by %.1f mm: look at what happened, it was kept", r.Used[g.Index]+1, 1e3*math.Abs(r.Residuals[g.Index]))
	}
	p.checkAlone(r, cut)
}

// checkAlone holds the length of the spring by itself against the one that follows from
// rate and initial tension, where it was not used to find them.
func (p *hung) checkAlone(r *lined, cut int) {
	f := r.Estimate(Tension)
	if cut == 0 || !f.Known() || p.levels[0] != 0 {
		return
	}
	known := func(v float64) energy.Estimate { return energy.Estimate{Value: v} }
	s := energy.Spring{Mass: p.SpringMass, Rate: known(r.Values[Rate]), InitialTension: known(max(0, f.Value))}
	expected := p.Natural.Value + s.SelfExtension(p.Masses.Gravity.Value)
	l := p.Readings[slices.Index(p.forces, 0)].Length
	if off := l.Value - expected; math.Abs(off) > 3*math.Sqrt(l.U*l.U+p.Natural.U*p.Natural.U+math.Pow(f.U/r.Values[Rate], 2)) {
		r.Doubts.Add(doubt.Length, "by itself the spring hangs %.1f mm longer than its natural length, rate and initial tension have it: measure the natural length again", 1e3*off)
	}
}
