package upkeep

import (
	"fmt"
	"math"

	"joulewell/calib/springs"
	"joulewell/daq/setup"
	"joulewell/energy"
)

// spring finds rate and initial tension from lengths under loads, from periods with
// loads, or from both, which are then held against each other.
func (t *Table) spring(f *setup.File, c *Cabinet) (*Finding, error) {
	s := &f.Bench.Apparatus.Spring
	hanging := springs.Hanging{SpringMass: s.Mass, Natural: s.NaturalLength}
	swings := springs.Swings{SpringMass: s.Mass}
	var points [2][]int // of either way, in its order
	for i, p := range t.Points {
		load, err := c.load(p.Load)
		if err != nil {
			return nil, fmt.Errorf("point %d: %w", i+1, err)
		}
		if p.Period != "" {
			q, err := period(p.Period)
			if err != nil {
				return nil, fmt.Errorf("point %d: %w", i+1, err)
			}
			swings.Swings = append(swings.Swings, springs.Swing{Load: load, Period: q})
			points[1] = append(points[1], i)
			continue
		}
		at, err := length(p.Rule, "length")
		if err != nil {
			return nil, fmt.Errorf("point %d: %w", i+1, err)
		}
		hanging.Readings = append(hanging.Readings, springs.Hung{Load: load, Length: at})
		points[0] = append(points[0], i)
	}
	hanging.Masses, swings.Masses = c.set, c.set
	var ways []*springs.Result
	if len(hanging.Readings) > 0 {
		r, err := hanging.Calibrate()
		if err != nil {
			return nil, err
		}
		ways = append(ways, r)
	}
	if len(swings.Swings) > 0 {
		r, err := swings.Calibrate()
		if err != nil {
			return nil, err
		}
		ways = append(ways, r)
	}
	if len(ways) == 0 {
		return nil, fmt.Errorf("calibrate spring: no points: hang loads and read lengths, or time periods")
	}
	found, err := foundSpring(s, ways)
	if err != nil {
		return nil, err
	}
	if len(hanging.Readings) > 0 {
		used := ways[0].Used
		for i, off := range ways[0].Residuals {
			at, err := c.set.Force(hanging.Readings[used[i]].Load)
			if err != nil {
				return nil, err
			}
			found.Residuals = append(found.Residuals, Residual{points[0][used[i]], at, off})
		}
	}
	return found, nil
}

// foundSpring makes a finding of the ways to a spring's law, the first of which counts.
// What it does not tell is left as the bench has it.
func foundSpring(s *energy.Spring, ways []*springs.Result) (*Finding, error) {
	r := ways[0]
	rate := r.Estimate(springs.Rate)
	found := &Finding{Summary: r.Summary(), Doubts: r.Doubts, AsLeft: map[string]any{
		"spring_rate_N_m": digits(rate.Value, rate.U), "spring_rate_u_N_m": digits(rate.U, rate.U),
		"spring_rate_tension_correlation": 0.0,
	}}
	found.Figures = []Figure{figure("rate", rate.Value, rate.U, "N/m")}
	if tension := r.Estimate(springs.Tension); tension.Known() {
		known := tension
		if known.Value < 0 { // a spring pulls from the start, or it does not
			known.Value = 0
		}
		found.AsLeft["spring_initial_tension_N"] = digits(known.Value, known.U)
		found.AsLeft["spring_initial_tension_u_N"] = digits(known.U, known.U)
		if v := r.Covariance(); known == tension && rate.U > 0 && tension.U > 0 {
			found.AsLeft["spring_rate_tension_correlation"] = digits(v[springs.Rate][springs.Tension]/(rate.U*tension.U), 0.01)
		}
		found.Figures = append(found.Figures, figure("initial tension", tension.Value, tension.U, "N"))
	}
	if len(ways) < 2 {
		return found, nil
	}
	pairs, doubts, err := springs.Compare(ways...)
	if err != nil {
		return nil, err
	}
	for _, other := range ways[1:] {
		e := other.Estimate(springs.Rate)
		found.Summary += "\n" + other.Summary()
		found.Doubts = append(found.Doubts, other.Doubts...)
		found.Figures = append(found.Figures, figure("rate by "+other.Way, e.Value, e.U, "N/m"))
	}
	found.Doubts = append(found.Doubts, doubts...)
	for _, p := range pairs {
		found.Figures = append(found.Figures, figure("E_n of the rates: "+p.A+", "+p.B, p.Rate, math.NaN(), ""))
	}
	return found, nil
}
