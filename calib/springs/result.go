package springs

import (
	"fmt"
	"math"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/energy"
)

// The values of [Result.Joint].
const (
	Rate    = iota // [N/m]
	Tension        // [N] initial tension; not there where a way does not tell it
)

// Result is what one way says of a spring.
type Result struct {
	fit.Joint           // rate and, by most ways, initial tension
	Way       string    // in words
	Agreement float64   // [1] probability that the stated uncertainties give residuals as large as these or larger; NaN where the scatter was judged by the residuals themselves
	Residuals []float64 // [m] of lengths (hanging), [N] of loads (pull), [N/m] of rates (swings), in the order of the readings used
	Used      []int     // index of each of these among the readings; blocks of a pull in the order of time
	Doubts    doubt.Notes
}

// Estimate returns a value with its standard uncertainty, or no reading where the way
// does not tell it.
func (r *Result) Estimate(value int) energy.Estimate {
	if value >= len(r.Values) {
		return energy.None()
	}
	return energy.Estimate{Value: r.Values[value], U: r.U(value)}
}

// Summary says in a paragraph what came out.
func (r *Result) Summary() string {
	k, f := r.Estimate(Rate), r.Estimate(Tension)
	s := fmt.Sprintf("By %s the rate is %.5g N/m with a standard uncertainty of %.2g N/m", r.Way, k.Value, k.U)
	if f.Known() {
		s += fmt.Sprintf(", the initial tension %.3g N with %.2g N", f.Value, f.U)
	}
	s += fmt.Sprintf("; %d readings were used.", len(r.Used))
	if !math.IsNaN(r.Agreement) {
		s += fmt.Sprintf(" They scatter as their uncertainties would have it with a probability of %.2g.", r.Agreement)
	}
	if r.Agreement < disagreement {
		s += " The scatter seen was used in place of the stated one."
	}
	return s
}

// Compared are two ways held against each other.
type Compared struct {
	A, B    string  // the ways
	Rate    float64 // [1] normalised error E_n of the rates; beyond 1 in size they disagree
	Tension float64 // [1] of the initial tensions; NaN where one way does not tell it
}

// Compare returns the normalised errors of each pair of results: their difference over its
// expanded uncertainty, in which masses, gravity and rule that both used cancel as far as
// they act alike. The coverage factor is such that, all ways being right, all of the
// errors together stay within 1 in at least 95 of 100 comparisons: with four of them
// that is a probability of 98.75 % for each.
func Compare(results ...*Result) ([]Compared, doubt.Notes, error) {
	count := 0
	for i, a := range results {
		for _, b := range results[i+1:] {
			count += min(len(a.Values), len(b.Values))
		}
	}
	probability := 1 - 0.05/float64(count)
	var pairs []Compared
	var notes doubt.Notes
	for i, a := range results {
		for _, b := range results[i+1:] {
			c := Compared{A: a.Way, B: b.Way, Tension: math.NaN()}
			for value, en := range []*float64{Rate: &c.Rate, Tension: &c.Tension} {
				if value >= min(len(a.Values), len(b.Values)) {
					continue
				}
				var err error
				if *en, err = fit.NormalisedDifference(&a.Joint, value, &b.Joint, value, probability); err != nil {
					return nil, nil, fmt.Errorf("compare springs: %w", err)
				}
			}
			if math.Abs(c.Rate) > 1 {
				notes.Add(doubt.Disagree, "%s and %s disagree: %.5g and %.5g N/m (E_n = %.2f): one of them holds a mistake",
					a.Way, b.Way, a.Values[Rate], b.Values[Rate], c.Rate)
			}
			if math.Abs(c.Tension) > 1 {
				notes.Add(doubt.Disagree, "%s and %s disagree: initial tension %.3g and %.3g N (E_n = %.2f): check natural length and what hung when the cell was tared",
					a.Way, b.Way, a.Values[Tension], b.Values[Tension], c.Tension)
			}
			pairs = append(pairs, c)
		}
	}
	return pairs, notes, nil
}

// disagreement is the probability below which readings are taken to scatter more than
// was stated; the covariance then follows what is seen.
const disagreement = 0.05

// settle widens a result whose readings scatter more than was stated.
func (r *Result) settle(f *fit.Regression) {
	r.Agreement = f.Agreement()
	if r.Agreement < disagreement {
		times := math.Sqrt(f.SumSquares / float64(f.Spare))
		r.Joint = r.Scaled(times, float64(f.Spare))
		r.Doubts.Add(doubt.Scatter, "readings scatter %.2g times as much as their uncertainties allow (probability %.2g): the scatter seen is used", times, r.Agreement)
	}
}

// checkSpring refuses a spring's mass and gravity that cannot be.
func checkSpring(doing string, mass, gravity energy.Estimate) error {
	switch {
	case !(mass.Value >= 0 && mass.Value <= 5) || !doubt.Uncertain(mass.U):
		return fmt.Errorf("%s: %w: spring mass = %g kg, uncertainty %g: must lie between 0 and 5 kg", doing, doubt.ErrUnit, mass.Value, mass.U)
	case !(gravity.Value > 9.7 && gravity.Value < 9.9) || !doubt.Uncertain(gravity.U):
		return fmt.Errorf("%s: %w: gravity = %g m/s2, uncertainty %g: on the ground it lies between 9.76 and 9.84", doing, doubt.ErrUnit, gravity.Value, gravity.U)
	}
	return nil
}
