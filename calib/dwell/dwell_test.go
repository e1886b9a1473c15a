package dwell

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"
)

// feed gives d readings of a motion with noise, rate a second, for so many seconds.
func feed(d *Dwell, rng *rand.Rand, rate, seconds, noise float64, of func(t float64) float64) {
	for i := range int(rate * seconds) {
		t := float64(i) / rate
		d.Add(t, of(t)+noise*rng.NormFloat64())
	}
}

func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name         string
		noise, known float64
		seconds      float64
		of           func(t float64) float64
		want         string // in the reason; empty = steady
	}{
		{"rest", 1, 1, 10, func(float64) float64 { return 500 }, ""},
		{"rest, noise not known", 1, 0, 10, func(float64) float64 { return 500 }, ""},
		{"rest on a cell without noise", 0, 1, 10, func(float64) float64 { return 500 }, ""},
		{"swing far above the noise", 1, 1, 10, func(t float64) float64 { return 20 * math.Sin(8*t) }, "moving"},
		{"swing, noise not known", 1, 0, 10, func(t float64) float64 { return 20 * math.Sin(2*t) }, "moving"},
		{"drift", 1, 1, 10, func(t float64) float64 { return 2 * t }, "drifting by"},
		{"not long enough", 1, 1, 2, func(float64) float64 { return 0 }, "wait: 2.0 s"},
		{"swing, seen early", 1, 1, 1, func(t float64) float64 { return 20 * math.Sin(8*t) }, "moving"},
		{"in counts", 1000, 1000, 10, func(t float64) float64 { return 160_000 * math.Sin(8*t) }, "it scatters by 110000 counts, the sensor's own noise is 1000 counts"},
		{"hung a moment ago", 1, 1, 10, func(t float64) float64 { return 100 * math.Round(t/18) }, "moving"},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := New(Options{Noise: c.known, Unit: "counts"})
			feed(d, rand.New(rand.NewPCG(1, 2)), 80, c.seconds, c.noise, c.of)
			s := d.State()
			if s.Steady != (c.want == "") || !strings.Contains(s.Reason, c.want) {
				t.Errorf("State() = %+v, want reason %q", s, c.want)
			}
		})
	}
}

// A bench at rest is told so nearly always, and the stated uncertainty of the mean holds
// the truth as often as it should.
func TestRestIsSeen(t *testing.T) {
	const trials = 2000
	var steady, within int
	for seed := range uint64(trials) {
		d := New(Options{Noise: 1})
		feed(d, rand.New(rand.NewPCG(seed, 3)), 40, 4, 1, func(float64) float64 { return 7 })
		s := d.State()
		if s.Steady {
			steady++
		}
		if math.Abs(s.Mean-7) <= 2*s.U {
			within++
		}
	}
	// With the larger of two uncertainties the interval holds a little more than 95 %.
	if steady < 0.985*trials || within < 0.94*trials || within > 0.99*trials {
		t.Errorf("of %d rests %d seen, %d with the truth in the interval", trials, steady, within)
	}
	t.Logf("of %d rests %d seen, %d with the truth in the interval", trials, steady, within)
}

func TestWhatBeginsAnew(t *testing.T) {
	for name, spoil := range map[string]func(*Dwell){
		"reset":         (*Dwell).Reset,
		"not a number":  func(d *Dwell) { d.Add(11, math.NaN()) },
		"earlier":       func(d *Dwell) { d.Add(3, 500) },
		"infinite time": func(d *Dwell) { d.Add(math.Inf(1), 500) },
	} {
		d := New(Options{Noise: 1})
		feed(d, rand.New(rand.NewPCG(4, 2)), 80, 10, 1, func(float64) float64 { return 500 })
		spoil(d)
		if s := d.State(); s.Steady || s.Readings != 0 {
			t.Errorf("%s: State() = %+v, want nothing", name, s)
		}
	}
	d := New(Options{Noise: 1})
	feed(d, rand.New(rand.NewPCG(4, 2)), 1000, 60, 1, func(float64) float64 { return 500 })
	if n := len(d.times); n > 10000 {
		t.Errorf("%d readings are kept of a dwell of 3000", n)
	}
}
