package drift

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat"

	"joulewell/calib/drift/allan"
	"joulewell/calib/drift/chart"
)

// only leaves one rule of the usual plan in force, so that it can be held against its
// theory.
func only(rule chart.Rule) chart.Plan {
	const never = 1e9
	p := chart.Usual
	if rule != chart.Single {
		p.Limit = never
	}
	if rule != chart.Average {
		p.AverageLimit = never
	}
	if rule != chart.Sum {
		p.Decision = never
	}
	return p
}

// of picks one rule's run length.
func of(r chart.RunLengths, rule chart.Rule) float64 {
	return map[chart.Rule]float64{chart.Single: r.Single, chart.Average: r.Average, chart.Sum: r.Sum}[rule]
}

var rules = []chart.Rule{chart.Single, chart.Average, chart.Sum}

// A bench with white noise and a known level, readings to signal through the whole watch.
// Steady, it gives false alarms as far apart as theory says, within 20 %; moved by three
// standard deviations of a record, which are three Allan deviations at its dwell, it is
// found out as soon as theory says. Ten thousand histories tell a mean within 1 %.
func TestRunLengthsThroughTheWatch(t *testing.T) {
	histories := 10_000
	if testing.Short() || raced {
		histories = 500
	}
	for _, shift := range []float64{0, 3} {
		want := chart.Usual.RunLengths(shift)
		for i, rule := range rules {
			p := four
			p.Dwell, p.Gap, p.Charts = 1, 1, only(rule) // two readings a record
			w := mustWatch(t, p)
			r := rand.New(rand.NewPCG(31, uint64(i)))
			records, now := 0, int64(0)
			for range histories {
				if err := w.Hold(chart.Level{Mean: 3, SD: 1}); err != nil {
					t.Fatal(err)
				}
				for signal := chart.None; signal == chart.None; {
					now += second
					if one, ok := w.Add(now, 3+shift+math.Sqrt2*r.NormFloat64(), true); ok {
						records++
						signal = one.Signal.Rule
					}
				}
			}
			got, want := float64(records)/float64(histories), of(want, rule)
			t.Logf("shift %g, %s: a signal in %.2f records, theory %.2f, %d histories", shift, rule, got, want, histories)
			if math.Abs(got/want-1) > 0.2 {
				t.Errorf("shift %g, %s: a signal in %.2f records, theory says %.2f", shift, rule, got, want)
			}
		}
	}
}

// flickering makes white noise over flicker: readings whose averaging has a floor. The
// flicker is a sum of relaxations an octave apart (common practice).
type flickering struct {
	r           *rand.Rand
	state, keep [14]float64
}

func newFlickering(seed uint64) *flickering {
	f := &flickering{r: rand.New(rand.NewPCG(32, seed))}
	for k := range f.keep {
		f.keep[k] = math.Exp(-math.Ldexp(1, -k))
		f.state[k] = f.r.NormFloat64()
	}
	return f
}

func (f *flickering) next() float64 {
	for k, keep := range f.keep {
		f.state[k] = keep*f.state[k] + math.Sqrt(1-keep*keep)*f.r.NormFloat64()
	}
	return f.zero() + f.r.NormFloat64()
}

// zero is where the sensor's zero is at the moment.
func (f *flickering) zero() (sum float64) {
	for _, s := range f.state {
		sum += 0.05 * s
	}
	return sum
}

func floorOf(t *testing.T) allan.Advice {
	t.Helper()
	f, log := newFlickering(0), make([]float64, 1<<15)
	for i := range log {
		log[i] = f.next()
	}
	l, err := allan.NewLog(1, log)
	if err != nil {
		t.Fatal(err)
	}
	points, err := l.Octaves(0.95)
	if err != nil {
		t.Fatal(err)
	}
	advice, err := allan.Advise(points)
	if err != nil {
		t.Fatal(err)
	}
	return advice
}

// A bench whose zero has a floor: a rest log says how long to average and where the floor
// is, the watch learns its level, then the zero steps by three floors. In at least half of
// the histories each chart finds it within the mean number of records that theory gives
// for a step of so many standard deviations, to the whole record. The mean is longer: a
// zero that flickers has by then wandered by about a floor of itself, with the step or
// against it.
func TestDriftOfThreeFloorsIsCaught(t *testing.T) {
	histories := 200
	if testing.Short() || raced {
		histories = 40
	}
	advice := floorOf(t)
	step := 3 * advice.Floor.Value
	waited, sd := map[chart.Rule][]float64{}, 0.0
	for seed := range histories {
		level, waits := oneStep(t, uint64(seed)+1, advice.Average, step)
		sd += level.SD / float64(histories)
		for rule, wait := range waits {
			waited[rule] = append(waited[rule], wait)
		}
	}
	theory := chart.Usual.RunLengths(step / sd)
	for _, rule := range rules {
		slices.Sort(waited[rule])
		median, mean := waited[rule][histories/2], stat.Mean(waited[rule], nil)
		t.Logf("floor %.3f at %g s, records of %g s, a step of %.2f standard deviations: %s finds it in %g records (median; mean %.2f), theory %.2f",
			advice.Floor.Value, advice.Floor.Tau, advice.Average, step/sd, rule, median, mean, of(theory, rule))
		if median > math.Ceil(of(theory, rule)) || mean > 3*of(theory, rule) {
			t.Errorf("%s: found in %g records, mean %.2f; theory gives %.2f", rule, median, mean, of(theory, rule))
		}
	}
}

// oneStep lets a watch of each rule learn its level, moves the zero and counts the records
// until each signals.
func oneStep(t *testing.T, seed uint64, dwell, step float64) (level chart.Level, waits map[chart.Rule]float64) {
	f, watches := newFlickering(seed), map[chart.Rule]*ZeroWatch{}
	for _, rule := range rules {
		p := four
		p.Dwell, p.Charts = dwell-1, only(rule)
		watches[rule] = mustWatch(t, p)
	}
	waits = map[chart.Rule]float64{}
	for now, moved := int64(0), false; len(watches) > 0; now += second {
		x := f.next()
		if moved {
			x += step
		}
		for rule, w := range watches {
			one, ok := w.Add(now, x, true)
			if ok && moved {
				waits[rule]++
			}
			if one.Signal.Rule != chart.None {
				delete(watches, rule)
			}
		}
		if !moved { // all three have learnt the same
			level, moved = watches[chart.Sum].Level()
		}
	}
	return level, waits
}
