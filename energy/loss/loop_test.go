package loss

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/energy"
)

const (
	testRate  = 25.0 // [N/m]
	testOmega = 9.0  // [1/s]
	testReach = 0.05 // [m]
)

// cycles returns the turning points of an even swing that starts at its lowest point.
func cycles(n int) []Turning {
	var record []Turning
	side := Lower
	for i := range 2*n + 1 {
		record = append(record, Turning{
			T:         energy.Estimate{Value: float64(i) * math.Pi / testOmega, U: 1e-3},
			Extension: energy.Estimate{Value: 0.11 + float64(side)*testReach, U: 1e-4},
			Side:      side, Index: i,
		})
		side = -side
	}
	return record
}

// readings returns points of force over extension, the force made from extension and
// velocity at a moment delay [s] earlier.
func readings(rng *rand.Rand, n int, rate, delay float64, c Channels, force func(x, v float64) float64) []Point {
	var points []Point
	for i := range int(float64(n)*2*math.Pi/testOmega*rate) + 2 {
		t := (float64(i) - rng.Float64()*1e-3) / rate
		late, now := math.Sincos(testOmega * (t - delay))
		points = append(points, Point{
			T:         t,
			Extension: 0.11 + testReach*math.Cos(testOmega*t) + c.Extension*rng.NormFloat64(),
			Force:     testRate*0.11 + force(testReach*now, -testReach*testOmega*late) + c.Force*rng.NormFloat64(),
		})
	}
	return points
}

func lossless(x, _ float64) float64 { return testRate * x }

var channels = Channels{Force: 5e-3, Extension: 2e-4, Delay: energy.Estimate{Value: 2e-3, U: 2e-4}, Settling: 0.05}

// A lossless spring seen through a delay that is known within its uncertainty: the
// work must be zero within what is stated.
func TestLoopOfALosslessSpringIsZero(t *testing.T) {
	trials := 2000
	if testing.Short() {
		trials = 400
	}
	for _, c := range []struct {
		name   string
		cycles int
		spread float64 // [s] standard uncertainty of the delay
	}{
		{"one cycle, noise alone", 1, 1e-7},
		{"one cycle, delay", 1, 2e-4},
		{"ten cycles, delay", 10, 2e-4},
		{"ten cycles, noise and delay alike", 10, 3e-6},
	} {
		t.Run(c.name, func(t *testing.T) {
			rng := rand.New(rand.NewPCG(51, 1))
			ch := channels
			ch.Delay.U = c.spread
			var h hits
			for range trials {
				points := readings(rng, c.cycles, 80, ch.Delay.Value+c.spread*rng.NormFloat64(), ch, lossless)
				set, err := Loops(points, cycles(c.cycles), ch)
				if err != nil {
					t.Fatal(err)
				}
				if len(set.Loops) != c.cycles || set.TooSlow != "" {
					t.Fatalf("%d loops, too slow: %q", len(set.Loops), set.TooSlow)
				}
				h.add(set.PerCycle, 0)
			}
			h.check(t, "work of a cycle")
		})
	}
}

// Extensions smoothed over five readings: their deviations are alike for a while, and
// the memory must account for it.
func TestLoopWithSmoothedExtension(t *testing.T) {
	rng := rand.New(rand.NewPCG(52, 1))
	ch := channels
	ch.Force, ch.Delay = 1e-6, energy.Estimate{U: 1e-9}
	ch.Memory = 5.0 / 400
	var h hits
	for range 1000 {
		raw := ch
		raw.Extension = 1e-3
		points := readings(rng, 2, 400, 0, Channels{}, lossless)
		shift := make([]float64, len(points)+4)
		for i := range shift {
			shift[i] = raw.Extension * rng.NormFloat64()
		}
		for i := range points {
			for j := range 5 {
				points[i].Extension += shift[i+j] / 5
			}
		}
		ch.Extension = raw.Extension / math.Sqrt(5)
		set, err := Loops(points, cycles(2), ch)
		if err != nil {
			t.Fatal(err)
		}
		h.add(set.PerCycle, 0)
	}
	h.check(t, "work of a cycle")
}

// The swing decays by air alone: the closing chord must keep the spring's own change of
// energy out of the loop.
func TestLoopOfADecayingSwing(t *testing.T) {
	rng := rand.New(rand.NewPCG(53, 1))
	points := readings(rng, 4, 80, 0, Channels{}, lossless)
	for i := range points {
		shrink := math.Exp(-0.1 * points[i].T)
		points[i].Extension = 0.11 + (points[i].Extension-0.11)*shrink
		points[i].Force = testRate * points[i].Extension
	}
	ch := channels
	ch.Delay.Value = 0
	set, err := Loops(points, cycles(4), ch)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range set.Loops {
		near(t, "work of a loop", l.Work.Value, 0, 1e-12)
	}
}

// Known loops: a dashpot inside the spring takes pi c omega A^2, dry friction 4 F A.
func TestLoopOfAKnownHysteresis(t *testing.T) {
	rng := rand.New(rand.NewPCG(54, 1))
	const c, dry = 0.1, 0.03
	for _, k := range []struct {
		name  string
		force func(x, v float64) float64
		want  float64
	}{
		{"dashpot", func(x, v float64) float64 { return testRate*x + c*v }, math.Pi * c * testOmega * testReach * testReach},
		{"dry friction", func(x, v float64) float64 { return testRate*x + math.Copysign(dry, v) }, 4 * dry * testReach},
	} {
		for _, perSecond := range []float64{80, 1000} {
			points := readings(rng, 20, perSecond, channels.Delay.Value, channels, k.force)
			set, err := Loops(points, cycles(20), channels)
			if err != nil {
				t.Fatal(err)
			}
			near(t, k.name, set.PerCycle.Value, k.want, 2.5*set.PerCycle.U)
			if set.PerCycle.U > 0.2*k.want {
				t.Errorf("%s: uncertainty %g J of %g J tells nothing", k.name, set.PerCycle.U, k.want)
			}
		}
	}
}

// With next to no noise, what is left of the uncertainty must cover what a coarse
// polygon and a slow converter take off a known loop, and not be much wider.
func TestLoopCoversPolygonAndSettling(t *testing.T) {
	rng := rand.New(rand.NewPCG(59, 1))
	const c = 0.1
	want := math.Pi * c * testOmega * testReach * testReach
	for _, k := range []struct {
		name              string
		perSecond, settle float64
	}{{"17 readings a period", 24, 0}, {"settles in a tenth of a period", 1000, 0.07}} {
		ch := Channels{Force: 1e-9, Extension: 1e-9, Delay: energy.Estimate{U: 1e-9}, Settling: k.settle}
		shrunk := sinc(k.settle * testOmega / (2 * math.Pi)) // a mean over the settling time, its delay taken out
		points := readings(rng, 10, k.perSecond, 0, ch, func(x, v float64) float64 { return shrunk * (testRate*x + c*v) })
		set, err := Loops(points, cycles(10), ch)
		if err != nil {
			t.Fatal(err)
		}
		off := math.Abs(set.PerCycle.Value - want)
		if !(off <= 1.1*set.PerCycle.U && off >= 0.5*set.PerCycle.U) || off < 0.005*want {
			t.Errorf("%s: work %g J is off %g J, uncertainty %g J", k.name, set.PerCycle.Value, off, set.PerCycle.U)
		}
	}
}

// The delay's uncertainty is the same in every cycle: more cycles must not average it
// away, while they do so with noise.
func TestDelayIsSharedByAllCycles(t *testing.T) {
	rng := rand.New(rand.NewPCG(55, 1))
	one, err := Loops(readings(rng, 1, 80, 0, channels, lossless), cycles(1), channels)
	if err != nil {
		t.Fatal(err)
	}
	many, err := Loops(readings(rng, 25, 80, 0, channels, lossless), cycles(25), channels)
	if err != nil {
		t.Fatal(err)
	}
	swing := testRate * math.Pi * testOmega * testReach * testReach
	near(t, "uncertainty from the delay", many.Loops[3].Shared, swing*channels.Delay.U, 0.05*swing*channels.Delay.U)
	if many.PerCycle.U < 0.95*swing*channels.Delay.U {
		t.Errorf("uncertainty of 25 cycles %g J, the delay alone gives %g J", many.PerCycle.U, swing*channels.Delay.U)
	}
	if one.PerCycle.U < many.PerCycle.U {
		t.Errorf("one cycle is surer than 25")
	}
}

// Before its release a hand carries part of the bob: that half swing is no loop.
func TestLoopsBeginAfterTheRelease(t *testing.T) {
	record := cycles(3)
	record[0].Release = true
	set, err := Loops(readings(rand.New(rand.NewPCG(58, 1)), 3, 80, 0, channels, lossless), record, channels)
	if err != nil {
		t.Fatal(err)
	}
	if len(set.Loops) != 2 || set.Loops[0].From != record[1].T.Value {
		t.Errorf("loops %+v, want two from the first turn on", set.Loops)
	}
}

func TestSlowConverterIsNamed(t *testing.T) {
	rng := rand.New(rand.NewPCG(56, 1))
	slow := channels
	slow.Delay = energy.Estimate{U: 1e-4}
	for _, c := range []struct {
		name              string
		perSecond, settle float64
		want              string
	}{
		{"10 readings a second", 10, 0.4, "10 readings a second are 7.0 in a period of 0.70 s"},
		{"80 readings a second", 80, 0.05, ""},
		{"settles in 0.4 s", 80, 0.4, "settles in 400 ms"},
	} {
		ch := slow
		ch.Settling = c.settle
		set, err := Loops(readings(rng, 10, c.perSecond, 0, ch, lossless), cycles(10), ch)
		if c.perSecond == 10 && errors.Is(err, ErrFew) { // too few points for any loop
			if !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s: %v, want it to say %q", c.name, err, c.want)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		if (c.want == "") != (set.TooSlow == "") || !strings.Contains(set.TooSlow, c.want) {
			t.Errorf("%s: %q, want %q", c.name, set.TooSlow, c.want)
		}
	}
}

func TestLoopsRefuse(t *testing.T) {
	rng := rand.New(rand.NewPCG(57, 1))
	for _, c := range []struct {
		name, want string
		kind       error
		spoil      func(*[]Point, *[]Turning, *Channels)
	}{
		{"no points", "0 points", ErrSamples, func(p *[]Point, _ *[]Turning, _ *Channels) { *p = nil }},
		{"not a number", "must be finite", ErrSamples, func(p *[]Point, _ *[]Turning, _ *Channels) { (*p)[9].Force = math.NaN() }},
		{"backward", "point 9: time", ErrSamples, func(p *[]Point, _ *[]Turning, _ *Channels) { (*p)[9].T = 0 }},
		{"delay known exactly", "uncertainty of the delay", ErrSamples, func(_ *[]Point, _ *[]Turning, c *Channels) { c.Delay.U = 0 }},
		{"force known exactly", "deviation of the force", ErrSamples, func(_ *[]Point, _ *[]Turning, c *Channels) { c.Force = 0 }},
		{"delay not a number", "delay = NaN", ErrSamples, func(_ *[]Point, _ *[]Turning, c *Channels) { c.Delay.Value = math.NaN() }},
		{"delay too long", "take the delay out beforehand", nil, func(_ *[]Point, _ *[]Turning, c *Channels) { c.Delay.Value = 0.025 }},
		{"one turning point", "at least 2 needed", ErrFew, func(_ *[]Point, r *[]Turning, _ *Channels) { *r = (*r)[:1] }},
		{"two turning points", "no cycle", ErrFew, func(_ *[]Point, r *[]Turning, _ *Channels) { *r = (*r)[:2] }},
		{"gap in every cycle", "no cycle", ErrFew, func(p *[]Point, _ *[]Turning, _ *Channels) {
			*p = append((*p)[:20:20], append((*p)[28:70:70], (*p)[80:]...)...)
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			points, record, ch := readings(rng, 2, 80, 0, channels, lossless), cycles(2), channels
			c.spoil(&points, &record, &ch)
			set, err := Loops(points, record, ch)
			if err == nil || !strings.Contains(err.Error(), c.want) || (c.kind != nil && !errors.Is(err, c.kind)) {
				t.Errorf("Loops = %+v, %v; want an error saying %q", set, err, c.want)
			}
		})
	}
}
