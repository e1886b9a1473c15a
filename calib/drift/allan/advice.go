package allan

import (
	"errors"
	"math"
)

// Advice is what Allan deviations say about averaging.
type Advice struct {
	Floor   Deviation // no averaging gets surely below this
	Average float64   // [s] the shortest averaging time that does as well as the floor's, as far as the log can tell
	Walk    float64   // [s] the shortest averaging time from which the deviation lies surely above the floor again; NaN = not within the log
}

// Advise reads deviations in order of averaging time. The floor is the one with the
// lowest upper bound, so that a chance dip among the long times is not taken for it. It
// wants one or more.
func Advise(all []Deviation) (Advice, error) {
	if len(all) == 0 {
		return Advice{}, errors.New("advise on averaging: no deviations: a longer log is needed")
	}
	floor := 0
	for i, d := range all {
		if d.High < all[floor].High {
			floor = i
		}
	}
	a := Advice{Floor: all[floor], Average: all[floor].Tau, Walk: math.NaN()}
	for _, d := range all[:floor] {
		if d.Low <= a.Floor.High {
			a.Average = d.Tau
			break
		}
	}
	for _, d := range all[floor:] {
		if d.Low > a.Floor.High {
			a.Walk = d.Tau
			break
		}
	}
	return a, nil
}

// Reach returns the shortest averaging time [s] whose deviation is surely at most target
// [reading], or false where none is.
func Reach(all []Deviation, target float64) (tau float64, ok bool) {
	for _, d := range all {
		if d.High <= target {
			return d.Tau, true
		}
	}
	return math.NaN(), false
}
