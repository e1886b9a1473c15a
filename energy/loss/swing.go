package loss

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"joulewell/energy"
)

// Middle is the place about which the bob swings at one instant.
type Middle struct {
	T         float64         // [s]
	Extension energy.Estimate // [m]
}

// Amplitude is half the way of one half swing.
type Amplitude struct {
	Index int             // [1] of the turning point at which the half swing begins
	T     float64         // [s] middle of the half swing
	Value energy.Estimate // [m]
	Next  float64         // [m2] covariance with the next amplitude, which shares a turning point; 0 where none is shared
}

// Period returns the time of a whole swing [s] from the times of the turning points
// of one record: twice the slope of their times over their indices, each weighted by
// its uncertainty. Where the times scatter more than chance gives one record in twenty,
// as they do with waves in the coils, the uncertainty is widened to match. At least two
// turning points besides a release are needed, else the error wraps [ErrFew].
func Period(record []Turning) (energy.Estimate, error) {
	if _, _, err := soundRecord(record); err != nil {
		return energy.None(), fmt.Errorf("work out period: %w", err)
	}
	var n int
	var sw, swi, swt float64
	for _, p := range record {
		if !p.Release {
			w := 1 / (p.T.U * p.T.U)
			n, sw, swi, swt = n+1, sw+w, swi+w*float64(p.Index), swt+w*p.T.Value
		}
	}
	if n < 2 {
		return energy.None(), fmt.Errorf("work out period: %w: %d, at least 2 needed", ErrFew, n)
	}
	middle, mean := swi/sw, swt/sw
	var sii, sit, chi float64
	for _, p := range record {
		if !p.Release {
			w, i := 1/(p.T.U*p.T.U), float64(p.Index)-middle
			sii, sit = sii+w*i*i, sit+w*i*(p.T.Value-mean)
		}
	}
	slope := sit / sii
	for _, p := range record {
		if !p.Release {
			r := (p.T.Value - mean - slope*(float64(p.Index)-middle)) / p.T.U
			chi += r * r
		}
	}
	u := 2 / math.Sqrt(sii)
	if freedom := float64(n - 2); n > 2 && (distuv.ChiSquared{K: freedom}).Survival(chi) < 0.05 {
		u *= math.Sqrt(chi / freedom)
	}
	return energy.Estimate{Value: 2 * slope, U: u}, nil
}

// MidLine returns the middle of the swing at each turning point that has a neighbour
// on either side, (x_before + 2 x + x_after)/4. Unlike the mean of two neighbours it
// is not thrown to and fro by the decay of the swing. At least three neighbouring
// turning points are needed, else the error wraps [ErrFew].
func MidLine(record []Turning) ([]Middle, error) {
	if _, _, err := soundRecord(record); err != nil {
		return nil, fmt.Errorf("work out mid-line: %w", err)
	}
	var line []Middle
	for i := 1; i+1 < len(record); i++ {
		a, b, c := &record[i-1], &record[i], &record[i+1]
		if b.Index != a.Index+1 || c.Index != b.Index+1 {
			continue
		}
		line = append(line, Middle{T: b.T.Value, Extension: energy.Estimate{
			Value: (a.Extension.Value + 2*b.Extension.Value + c.Extension.Value) / 4,
			U:     math.Sqrt(a.Extension.U*a.Extension.U+4*b.Extension.U*b.Extension.U+c.Extension.U*c.Extension.U) / 4,
		}})
	}
	if len(line) == 0 {
		return nil, fmt.Errorf("work out mid-line: %w: no three in a row", ErrFew)
	}
	return line, nil
}

// Amplitudes returns (x_lower - x_upper)/2 of every half swing whose ends are both
// known. At least two neighbouring turning points are needed, else the error wraps
// [ErrFew].
func Amplitudes(record []Turning) ([]Amplitude, error) {
	if _, _, err := soundRecord(record); err != nil {
		return nil, fmt.Errorf("work out amplitudes: %w", err)
	}
	var series []Amplitude
	for i := 1; i < len(record); i++ {
		a, b := &record[i-1], &record[i]
		if b.Index != a.Index+1 {
			continue
		}
		if n := len(series); n > 0 && series[n-1].Index == a.Index-1 {
			series[n-1].Next = a.Extension.U * a.Extension.U / 4
		}
		series = append(series, Amplitude{
			Index: a.Index,
			T:     (a.T.Value + b.T.Value) / 2,
			Value: energy.Estimate{
				Value: float64(a.Side) * (a.Extension.Value - b.Extension.Value) / 2,
				U:     math.Hypot(a.Extension.U, b.Extension.U) / 2,
			},
		})
	}
	if len(series) == 0 {
		return nil, fmt.Errorf("work out amplitudes: %w: no two in a row", ErrFew)
	}
	return series, nil
}

// Decrease returns the share [1] of the amplitude that a cycle takes, the geometric mean
// over so many cycles n/2 that the amplitude has surely not yet fallen to a third, from
// where on more of them would tell less:
//
//	1 - (A_n/A_0)^(2/n)
//
// No law of decay is assumed, and what all extensions share, the sensor's scale and
// offset, falls out. At least four turning points are needed, else the error wraps
// [ErrFew].
func Decrease(record []Turning) (energy.Estimate, error) {
	series, err := Amplitudes(record)
	if err != nil {
		return energy.None(), fmt.Errorf("work out decrease: %w", err)
	}
	first := &series[0]
	end := series[len(series)-1].Index - first.Index
	for i := range series {
		if series[i].Value.Value < first.Value.Value/3 {
			// Well before: a half swing chosen for its own amplitude would be one whose
			// noise is in favour.
			end = (series[i].Index - first.Index) * 4 / 5
			break
		}
	}
	const clear = 5 // uncertainties that an amplitude must be, for its logarithm to be as sure
	for i := len(series) - 1; i > 0; i-- {
		a := &series[i]
		halves := a.Index - first.Index
		if halves > end || halves < 2 || halves%2 == 1 || !(a.Value.Value > clear*a.Value.U) {
			continue
		}
		kept := math.Pow(a.Value.Value/first.Value.Value, 2/float64(halves))
		return energy.Estimate{
			Value: 1 - kept,
			U:     kept * 2 / float64(halves) * math.Hypot(a.Value.U/a.Value.Value, first.Value.U/first.Value.Value),
		}, nil
	}
	return energy.None(), fmt.Errorf("work out decrease: %w: no two half swings, whole cycles apart, are beyond their noise", ErrFew)
}
