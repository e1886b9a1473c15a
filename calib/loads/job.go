package loads

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"joulewell/calib/doubt"
	"joulewell/calib/masses"
)

// Reading is the mean of one rest. Of a cell that states newtons they stand for counts, and
// the span is a number near 1.
type Reading struct {
	T      float64  // [s] since the calibration began
	Load   []string // names of the pieces that hung; none for a tare reading
	Counts float64  // [counts]
	U      float64  // [counts] standard uncertainty of the mean by its own scatter and the resolution; 0 = not known
}

// Moment is one conversion while a load hangs still.
type Moment struct {
	T      float64 // [s] since the load hung
	Counts float64 // [counts]
}

// Job is all that was read to calibrate a load cell.
type Job struct {
	Masses   masses.Set
	Readings []Reading // in the order they were taken
	Hold     []Moment  // under the largest load, for creep; none if it was not watched
	Capacity float64   // [N] of the cell; 0 = not stated
	Nominal  float64   // [N/count] span stated for the cell; 0 = not stated
}

// unsteady is the share of the largest change beyond which the mean of a rest is no
// rest.
const unsteady = 0.01

// prepared is a job made ready.
type prepared struct {
	*Job
	forces  []float64 // [N] of each reading
	keys    []string  // one for each different load, "" for none
	courses []int     // +1 reached from below, -1 from above, 0 unloaded
	largest float64   // [N]
}

func (j *Job) prepare() (*prepared, error) {
	const doing = "calibrate force"
	if err := j.Masses.Check(); err != nil {
		return nil, fmt.Errorf("%s: %w", doing, err)
	}
	p := &prepared{Job: j}
	for i, r := range j.Readings {
		f, err := j.Masses.Force(r.Load)
		switch {
		case err != nil:
			return nil, fmt.Errorf("%s: reading %d: %w", doing, i+1, err)
		case !doubt.Finite(r.T, r.Counts) || !doubt.Uncertain(r.U):
			return nil, fmt.Errorf("%s: reading %d: %w: %g counts at %g s, uncertainty %g", doing, i+1, doubt.ErrNumber, r.Counts, r.T, r.U)
		case i > 0 && r.T < j.Readings[i-1].T:
			return nil, fmt.Errorf("%s: reading %d: %w: %g s is earlier than the reading before", doing, i+1, doubt.ErrContradict, r.T)
		}
		names := slices.Clone(r.Load)
		slices.Sort(names)
		p.forces = append(p.forces, f)
		p.keys = append(p.keys, strings.Join(names, " + "))
		p.largest = max(p.largest, f)
	}
	p.course()
	return p, p.check(doing)
}

// course finds from where each load was reached. A reading repeated as it was keeps the
// course of the one before.
func (p *prepared) course() {
	p.courses = make([]int, len(p.forces))
	for i, f := range p.forces {
		switch {
		case f == 0:
		case i == 0 || f > p.forces[i-1]:
			p.courses[i] = 1
		case f < p.forces[i-1]:
			p.courses[i] = -1
		default:
			p.courses[i] = p.courses[i-1]
		}
	}
}

// different returns the different loads, the unloaded cell among them.
func (p *prepared) different() int {
	seen := make(map[string]bool)
	for _, k := range p.keys {
		seen[k] = true
	}
	return len(seen)
}

func (p *prepared) check(doing string) error {
	if n := p.different(); n < 3 {
		return fmt.Errorf("%s: %w: %d readings of %d different loads, the unloaded cell counted: at least 3 are needed, better 6", doing, doubt.ErrFew, len(p.forces), n)
	}
	if !slices.Contains(p.keys, "") {
		return fmt.Errorf("%s: %w: no reading of the unloaded cell: take one before and one after", doing, doubt.ErrFew)
	}
	if c := p.Capacity; !doubt.Uncertain(c) || !doubt.Finite(p.Nominal) {
		return fmt.Errorf("%s: %w: capacity %g N, stated span %g N/count: must be finite", doing, doubt.ErrNumber, c, p.Nominal)
	}
	if p.Capacity > 0 && p.largest > 1.5*p.Capacity {
		return fmt.Errorf("%s: %w: the largest load is %.4g N on a cell of %.4g N: are the masses in kilograms?", doing, doubt.ErrUnit, p.largest, p.Capacity)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, r := range p.Readings {
		low, high = min(low, r.Counts), max(high, r.Counts)
	}
	if high == low {
		return fmt.Errorf("%s: %w: all readings are %g counts: is the cell connected?", doing, doubt.ErrContradict, low)
	}
	for i, r := range p.Readings {
		if r.U > unsteady*(high-low) {
			return fmt.Errorf("%s: reading %d: %w: uncertain by %.3g counts of %.6g between the loads: wait until it hangs still", doing, i+1, doubt.ErrUnsteady, r.U, high-low)
		}
	}
	if n := p.Nominal; n != 0 {
		span := p.largest / (high - low)
		if ratio := span / math.Abs(n); ratio > 5 || ratio < 0.2 {
			return fmt.Errorf("%s: %w: about %.3g N a count, %.3g times what is stated for the cell: are the masses in kilograms?", doing, doubt.ErrUnit, span, ratio)
		}
	}
	return nil
}
