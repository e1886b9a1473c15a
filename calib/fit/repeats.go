package fit

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat"
)

// Repeats is what repeated readings of one quantity say about it (GUM 4.2).
type Repeats struct {
	N    int     // [1] number of readings
	Mean float64 // [reading] the estimate
	SD   float64 // [reading] standard deviation of a single reading
	U    float64 // [reading] standard uncertainty of the mean, SD/sqrt N
}

// DoF returns the degrees of freedom, N - 1.
func (r Repeats) DoF() float64 { return float64(r.N - 1) }

// Repeat evaluates repeated readings of one quantity. It wants two or more.
func Repeat(readings []float64) (Repeats, error) {
	if err := checkReadings("average readings", readings, 2); err != nil {
		return Repeats{}, err
	}
	mean, sd := stat.MeanStdDev(readings, nil)
	return Repeats{N: len(readings), Mean: mean, SD: sd, U: sd / math.Sqrt(float64(len(readings)))}, nil
}

// Together evaluates quantities that were read at the same time, several times over:
// readings[q] are those of quantity q. It returns their means and the covariance
// matrix of the means (GUM 5.2.3), in which correlations the readings show are kept.
func Together(readings ...[]float64) (means []float64, covariance [][]float64, err error) {
	const doing = "average simultaneous readings"
	for q, r := range readings {
		if err := checkReadings(fmt.Sprintf("%s: quantity %d", doing, q+1), r, 2); err != nil {
			return nil, nil, err
		}
		if len(r) != len(readings[0]) {
			return nil, nil, fmt.Errorf("%s: quantity %d has %d readings, the first %d: must be read together", doing, q+1, len(r), len(readings[0]))
		}
		means = append(means, stat.Mean(r, nil))
	}
	covariance = square(len(readings))
	for a := range readings {
		for b := range readings {
			covariance[a][b] = stat.Covariance(readings[a], readings[b], nil) / float64(len(readings[a]))
		}
	}
	return means, covariance, nil
}

func checkReadings(doing string, readings []float64, least int) error {
	if len(readings) < least {
		return fmt.Errorf("%s: %d readings: at least %d are needed", doing, len(readings), least)
	}
	for i, r := range readings {
		if !finite(r) {
			return fmt.Errorf("%s: reading %d is %g: must be finite", doing, i+1, r)
		}
	}
	return nil
}
