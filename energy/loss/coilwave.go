package loss

import (
	"fmt"
	"math"
)

// Where is the place in a run at which coil waves are to be bounded.
type Where int

// Places, counted from a release at rest.
const (
	AtRelease Where = iota
	FirstWay        // anywhere up to the first turning point
	FirstTurn
	LaterTurn
	Anywhere // over many swings
)

// coilShares are the largest seen shares over r^1.5, rounded up: by integration of a
// lossless spring of 60 and of 200 beads at 50 mass ratios from 0.01 to 2, over 20
// cycles (test). At single mass ratios the first turning point is two to thirty times
// better than its bound, depending on where the wave happens to be: at the worst ones
// it is no better than later turning points.
var coilShares = [...]float64{
	AtRelease: 0,
	FirstWay:  0.034,
	FirstTurn: 0.0095,
	LaterTurn: 0.0100,
	Anywhere:  0.041,
}

// largestRatio is the largest mass ratio that the bounds were tried at.
const largestRatio = 2.0

// CoilWave bounds by how much the energy that follows from a bob's place and speed, with
// the stretch taken as spread evenly, may miss the energy that is there: a share [1]
// of the energy exchanged in the swing, (2 + r) k A^2, for the ratio r of the spring's
// mass to the bob's. At turning points some energy always hides in the coils, so that
// it seems lost though nothing is.
//
// The share grows about as r^1.5. Between mass ratios it jumps up and down, so it is a
// bound and no correction. Ratios above 2 and below 0 are refused.
func CoilWave(ratio float64, at Where) (float64, error) {
	if at < 0 || int(at) >= len(coilShares) {
		return 0, fmt.Errorf("bound coil waves: unknown place %d", at)
	}
	if !(ratio >= 0 && ratio <= largestRatio) {
		return 0, fmt.Errorf("bound coil waves: spring is %g times as heavy as the bob: must lie between 0 and %g", ratio, largestRatio)
	}
	return coilShares[at] * math.Pow(ratio, 1.5), nil
}

// Place says what kind of place turning point i of a record is for coil waves.
func Place(record []Turning, i int) Where {
	switch {
	case record[i].Release:
		return AtRelease
	case i > 0 && record[i-1].Release && record[i].Index == record[i-1].Index+1:
		return FirstTurn
	}
	return LaterTurn
}

// Exchanged returns the elastic energy [J] that a swing of amplitude [m] exchanges on
// a spring of a rate [N/m]: (2 + r) k A^2, exact for a drop.
func Exchanged(ratio, rate, amplitude float64) float64 {
	return (2 + ratio) * rate * amplitude * amplitude
}

// Ripples fills in by how much waves in the coils shift each turning point of a record
// from where a law of decay would have it: energy that hides in the coils, spread evenly
// up to its bound, is missing from k A^2/2. It returns the refusal of [CoilWave].
func Ripples(record []Turning, ratio float64) error {
	low, high, err := soundRecord(record)
	if err != nil {
		return fmt.Errorf("bound coil waves: %w", err)
	}
	middle, reach := (low+high)/2, (high-low)/2
	for i := range record {
		p := &record[i]
		share, err := CoilWave(ratio, Place(record, i))
		if err != nil {
			return err
		}
		amplitude := math.Max(math.Abs(p.Extension.Value-middle), share*reach)
		if p.Ripple = 0; share > 0 {
			p.Ripple = share * (2 + ratio) * reach * reach / amplitude / math.Sqrt(12)
		}
	}
	return nil
}
