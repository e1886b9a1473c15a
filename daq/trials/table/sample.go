package table

import (
	"fmt"
	"math"

	"joulewell/daq/trials"
)

// sample is one quantity of a group's counted trials.
type sample struct {
	values  []float64
	own     []float64          // standard uncertainty of each that is new with every trial
	at      []int              // positions among the counted trials
	shared  map[string]float64 // effect of each source on the mean
	bounded bool               // some trials do not say what they share
}

// take collects a quantity.
func take(key string, counted []Trial) sample {
	s := sample{shared: map[string]float64{}}
	for i := range counted {
		row := &counted[i].Row
		e := row.Quantity(key)
		if e == nil || !e.Known() || math.IsInf(e.Value, 0) || !(e.U >= 0) || math.IsInf(e.U, 0) {
			continue
		}
		effects, told := row.Shared[key]
		if !told {
			effects, s.bounded = untold(row, key), true
		}
		rest := e.U * e.U
		for _, f := range effects {
			s.shared[f.Source] += f.By
			rest -= f.By * f.By
		}
		s.values = append(s.values, e.Value)
		s.own = append(s.own, math.Sqrt(max(0, rest)))
		s.at = append(s.at, i)
	}
	for source := range s.shared {
		s.shared[source] /= float64(len(s.values))
	}
	return s
}

// untold takes all of an uncertainty as shared where the row does not say: that is the
// most it can be.
func untold(row *trials.Row, key string) []trials.Effect {
	return []trials.Effect{{Source: fmt.Sprintf("all of %s, %s and %s", row.Bench, row.Spring, row.Bob), By: row.Quantity(key).U}}
}

// together is the standard uncertainty by all sources.
func together(effects map[string]float64) float64 {
	sum := 0.0
	for _, by := range effects {
		sum = math.Hypot(sum, by)
	}
	return sum
}

// apart is what sources do to the difference of two means: what both share cancels as far
// as it acts alike.
func apart(a, b map[string]float64) float64 {
	rest := map[string]float64{}
	for source, by := range a {
		rest[source] = by
	}
	for source, by := range b {
		rest[source] -= by
	}
	return together(rest)
}
