package allan

import "math"

// Noise is a kind of noise by the exponent of frequency in its spectral density.
type Noise int

// The kinds, from those that averaging removes fast to those it does not.
const (
	WhitePhase   Noise = 2  // of readings that are differences of white noise
	FlickerPhase Noise = 1  //
	White        Noise = 0  // independent readings: the deviation falls with the root of the time
	Flicker      Noise = -1 // the deviation stays: the floor
	Walk         Noise = -2 // the zero walks at random: the deviation rises with the root of the time
)

// String returns the kind in words.
func (n Noise) String() string {
	switch n {
	case WhitePhase:
		return "white phase"
	case FlickerPhase:
		return "flicker phase"
	case White:
		return "white"
	case Flicker:
		return "flicker"
	}
	return "random walk"
}

const (
	leastMeans = 30      // from which the kind of noise is told
	mostMeans  = 1 << 16 // that are looked at: enough to tell it surely
)

// identify tells the kind of noise at an averaging time of m readings from the lag 1
// autocorrelation r of the means, differenced until they look stationary: with
// delta = r/(1 + r), the exponent is -2 (delta + differences), rounded. It does not tell
// from fewer than 30 means.
//
// Source: NIST SP 1065, 5.5.6 (Riley and Greenhall 2004).
func identify(phase []float64, m int) (Noise, bool) {
	n := min((len(phase)-1)/m, mostMeans)
	if n < leastMeans {
		return White, false
	}
	z := make([]float64, n)
	for i := range z {
		z[i] = phase[(i+1)*m] - phase[i*m]
	}
	for differences := 0; ; differences++ {
		r := autocorrelation(z)
		delta := r / (1 + r)
		if delta < 0.25 || differences == 2 {
			kind := Noise(-math.Round(2 * (delta + float64(differences))))
			return min(max(kind, Walk), WhitePhase), true
		}
		for i := range len(z) - 1 {
			z[i] = z[i+1] - z[i]
		}
		z = z[:len(z)-1]
	}
}

// autocorrelation returns that at lag 1; 0 for values all alike.
func autocorrelation(z []float64) float64 {
	var mean, product, square float64
	for _, v := range z {
		mean += v / float64(len(z))
	}
	for i, v := range z {
		square += (v - mean) * (v - mean)
		if i > 0 {
			product += (v - mean) * (z[i-1] - mean)
		}
	}
	if square == 0 {
		return 0
	}
	return product / square
}
