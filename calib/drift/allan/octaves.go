package allan

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Deviation is an Allan deviation at one averaging time.
type Deviation struct {
	Tau   float64 // [s] averaging time
	Value float64 // [reading]
	Terms int     // [1] differences it comes from; overlapping ones count in full
	DoF   float64 // [1] degrees of freedom of the variance, allowing for the overlap
	Low   float64 // [reading] the true deviation lies between this
	High  float64 // [reading] and this with the probability asked for
	Noise Noise   // kind the degrees of freedom are reckoned for
}

// Octaves returns the overlapping Allan deviation at averaging times of 1, 2, 4 ...
// readings, as far as one degree of freedom goes, with intervals that hold the true one
// with the given probability:
//
//	value^2 dof/chi2((1 + p)/2) to value^2 dof/chi2((1 - p)/2)
//
// The kind of noise is told from the readings. It can only get redder with the averaging
// time, for white kinds average out: a whiter one told from the few means of a long time is
// chance. At times too long to tell, the kind of the time before is taken. Stretches add
// their degrees of freedom.
//
// Source: NIST SP 1065, 5.3.
func (l *Log) Octaves(probability float64) ([]Deviation, error) {
	if !(probability > 0 && probability < 1) {
		return nil, fmt.Errorf("find Allan deviations: probability %g: must lie between 0 and 1", probability)
	}
	longest := l.phases[0]
	for _, p := range l.phases {
		if len(p) > len(longest) {
			longest = p
		}
	}
	var all []Deviation
	kind := WhitePhase
	for m := 1; len(longest) > 2*m; m *= 2 {
		if k, ok := identify(longest, m); ok {
			kind = min(kind, k)
		} else if m == 1 {
			kind = White
		}
		d := Deviation{Tau: float64(m) * l.interval, Noise: kind}
		d.Value, d.Terms = l.Deviation(Overlapping, m)
		for _, p := range l.phases {
			if len(p) > 2*m {
				d.DoF += max(1, degrees(kind, len(p), m))
			}
		}
		d.bound(probability)
		all = append(all, d)
	}
	return all, nil
}

func (d *Deviation) bound(probability float64) {
	chi2 := distuv.ChiSquared{K: d.DoF}
	d.Low = d.Value * math.Sqrt(d.DoF/chi2.Quantile((1+probability)/2))
	d.High = d.Value * math.Sqrt(d.DoF/chi2.Quantile((1-probability)/2))
}

// degrees returns the degrees of freedom of the overlapping Allan variance at m of n
// phases, for a kind of noise.
//
// Source: Howe, Allan and Barnes, Properties of signal sources and measurement methods,
// Proc. 35th Annual Symposium on Frequency Control (1981), reprinted in NIST TN 1337.
func degrees(kind Noise, phases, m int) float64 {
	n, k := float64(phases), float64(m)
	switch kind {
	case WhitePhase:
		return (n + 1) * (n - 2*k) / (2 * (n - k))
	case FlickerPhase:
		return math.Exp(math.Sqrt(math.Log((n-1)/(2*k)) * math.Log((2*k+1)*(n-1)/4)))
	case White:
		return (3*(n-1)/(2*k) - 2*(n-2)/n) * 4 * k * k / (4*k*k + 5)
	case Flicker:
		if m == 1 {
			return 2 * (n - 2) * (n - 2) / (2.3*n - 4.9)
		}
		return 5 * n * n / (4 * k * (n + 3*k))
	}
	return (n - 2) / k * ((n-1)*(n-1) - 3*k*(n-1) + 4*k*k) / ((n - 3) * (n - 3))
}
