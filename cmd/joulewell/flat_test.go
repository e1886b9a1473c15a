package main

import (
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"strconv"
	"strings"
	"testing"
	"time"

	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// memory is what this process holds [byte]: live on the heap, and resident.
type memory struct{ heap, resident float64 }

// memoryNow waits until what is on its way to viewers has left the heap.
func memoryNow(t *testing.T) memory {
	t.Helper()
	var m runtime.MemStats
	for least := uint64(math.MaxUint64); ; time.Sleep(20 * time.Millisecond) {
		runtime.GC()
		if runtime.ReadMemStats(&m); m.HeapAlloc+m.HeapAlloc/100 > least {
			break
		}
		least = m.HeapAlloc
	}
	text, err := os.ReadFile("/proc/self/statm")
	if err != nil {
		t.Fatal(err)
	}
	pages, err := strconv.ParseFloat(strings.Fields(string(text))[1], 64)
	if err != nil {
		t.Fatal(err)
	}
	return memory{float64(m.HeapAlloc), pages * float64(os.Getpagesize())}
}

// batches is into how many means a series is gathered before a line is laid through it:
// neighbouring samples of a memory resemble each other, and would promise too much.
const batches = 20

// growth lays a line through samples taken at even steps, their first quarter left out as
// warm-up, and returns by how much it rises over all the steps and the upper end of the
// one-sided 95 % interval of that rise (Student's t on the slope, any textbook of
// statistics).
func growth(samples []float64) (rise, upper float64) {
	settled := samples[len(samples)/4:]
	var x, y []float64
	for i := range batches {
		from, to := i*len(settled)/batches, (i+1)*len(settled)/batches
		x = append(x, float64(from+to-1)/2)
		y = append(y, stat.Mean(settled[from:to], nil))
	}
	start, slope := stat.LinearRegression(x, y, nil, false)
	var residuals, spread float64
	middle := stat.Mean(x, nil)
	for i := range x {
		residuals += square(y[i] - start - slope*x[i])
		spread += square(x[i] - middle)
	}
	u := math.Sqrt(residuals / (batches - 2) / spread)
	t := distuv.StudentsT{Sigma: 1, Nu: batches - 2}.Quantile(0.95)
	all := float64(len(samples) - 1)
	return slope * all, (slope + t*u) * all
}

func square(x float64) float64 { return x * x }

// flat fails the test unless a memory is shown to grow by less than allowed [byte] over
// the whole of the samples. Fewer than four samples a batch show nothing.
func flat(t *testing.T, what string, samples []float64, allowed float64) {
	t.Helper()
	if len(samples) < 4*batches {
		t.Logf("%s: %d samples are too few for a slope", what, len(samples))
		return
	}
	rise, upper := growth(samples)
	t.Logf("%s: from %.2f to %.2f MB, the line rises by %+.3f MB, with 95 %% confidence by less than %+.3f MB",
		what, samples[len(samples)/4]/1e6, samples[len(samples)-1]/1e6, rise/1e6, upper/1e6)
	if upper > allowed {
		t.Errorf("%s may have grown by %.3f MB, %.3f are allowed", what, upper/1e6, allowed/1e6)
	}
}

// A steady leak below the noise of single samples is found, and noise alone is not taken
// for one.
func TestGrowthTellsALeakFromNoise(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 20261127))
	leaking, steady, taken := 0, 0, 0
	const trials = 200
	for range trials {
		noise, with, without := 0.0, make([]float64, 400), make([]float64, 400)
		for i := range with {
			noise = 0.5*noise + rng.NormFloat64()
			without[i], with[i] = 100+noise, 100+noise+4*float64(i)/399
		}
		if _, upper := growth(with); upper > 2.5 {
			leaking++
		}
		if _, upper := growth(without); upper > 2.5 {
			steady++
		}
		if _, upper := growth(without); upper > 0 { // covers the true rise, none
			taken++
		}
	}
	if leaking < 195 || steady > 10 || taken < 180 || taken > 199 {
		t.Errorf("of %d each: leaks found %d, steady ones refused %d, intervals that reach the truth %d (95 %% are 190)", trials, leaking, steady, taken)
	}
}
