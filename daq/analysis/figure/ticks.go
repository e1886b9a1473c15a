package figure

import (
	"math"
	"strconv"

	"gonum.org/v1/plot"
)

// ticks marks an axis in steps of 1, 2 or 5 times a power of ten, about eight of them,
// all of them labelled with the digits that the step needs.
type ticks struct{}

const wanted = 8

// Ticks returns the marks between two values.
func (ticks) Ticks(low, high float64) []plot.Tick {
	if !(high > low) {
		return nil
	}
	rough := (high - low) / wanted
	decade := math.Floor(math.Log10(rough))
	step := math.Pow(10, decade)
	for _, m := range [...]float64{1, 2, 5, 10} {
		if m*math.Pow(10, decade) >= rough {
			step = m * math.Pow(10, decade)
			break
		}
	}
	decimals := max(0, -int(math.Floor(math.Log10(step)+1e-9)))
	var all []plot.Tick
	for n := math.Ceil(low/step - 1e-9); n*step <= high+1e-9*step; n++ {
		all = append(all, plot.Tick{Value: n * step, Label: strconv.FormatFloat(n*step+0, 'f', decimals, 64)})
	}
	return all
}
