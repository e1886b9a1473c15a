package upkeep

import (
	"io"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/daq/frame"
	"joulewell/daq/wire"
)

// rows are a run in memory.
type rows []frame.Frame

func (r *rows) Next(f *frame.Frame) error {
	if len(*r) == 0 {
		return io.EOF
	}
	*f, *r = (*r)[0], (*r)[1:]
	return nil
}

// recorded makes a run of bench Severn of a motion: ranges at 100/s, and load conversions
// at 320/s that are late [s].
func recorded(t *testing.T, seconds, late float64, height, force func(t float64) float64) Recording {
	t.Helper()
	f := severn(t)
	d, c := &f.Bench.Calibration.Distance, &f.Bench.Calibration.Force
	d.Noise = 4e-4
	rng := rand.New(rand.NewPCG(51, uint64(1e6*late)))
	var list rows
	next := [2]float64{0, 0.0011}
	for n := uint32(0); ; n++ {
		i := 0
		if next[1] < next[0] {
			i = 1
		}
		at := next[i]
		if at > seconds {
			return Recording{Name: "run.csv", Rows: &list, Bench: &f.Bench}
		}
		fr := frame.Frame{T: int64(math.Round(at * 1e9)), Epoch: 1}
		fr.Reading.Seq = n
		if i == 0 {
			fr.Reading.Set(wire.RangeMm, 1e3*(height(at)-d.Offset.Value+4e-4*rng.NormFloat64()))
			next[0] += 0.01
		} else {
			fr.Reading.Set(wire.LoadCounts, c.Zero.Value+(force(at-late)+1e-3*rng.NormFloat64())/c.Span.Value)
			next[1] += 1.0 / 320
		}
		list = append(list, fr)
	}
}

// A lag between the channels is found from recorded swings, by which the run itself was
// wrong, and is what the bench goes by afterwards.
func TestDelayFromSwings(t *testing.T) {
	f := severn(t)
	a := f.Bench.Apparatus
	const late = 0.031
	moving := a.Bob.Mass.Value + a.Spring.Mass.Value/3
	omega := math.Sqrt(a.Spring.Rate.Value / moving)
	rest, g := a.Height(a.Equilibrium()), a.Gravity.Value
	height := func(at float64) float64 {
		if at < 1 {
			return rest + 0.05
		}
		return rest + 0.05*math.Cos(omega*(at-1))
	}
	force := func(at float64) float64 { // at the top: bob and spring, and what moves them
		weight := (a.Bob.Mass.Value + a.Spring.Mass.Value) * g
		return weight - moving*omega*omega*(height(at)-rest)
	}
	found, err := FindDelay(&f, []Recording{recorded(t, 20, late, height, force), recorded(t, 25, late, height, force)}, nil)
	if err != nil {
		t.Fatal(err)
	}
	laid, err := f.Lay(found.AsLeft)
	if err != nil {
		t.Fatal(err)
	}
	if d := laid.Bench.Calibration.Force.Delay; math.Abs(d.Value-late) > 4*d.U || !(d.U > 0 && d.U < 2e-3) {
		t.Errorf("delay %+v, want %g s", d, late)
	}
	if len(found.Residuals) != 2 || found.Kind != Timing {
		t.Errorf("finding %+v", found)
	}
	if _, err := FindDelay(&f, nil, nil); err == nil || !strings.Contains(err.Error(), "no run") {
		t.Errorf("FindDelay() of nothing = %v", err)
	}
}

// A slow pull of a progressive spring gives its curve; the bench then hangs where the
// curve says.
func TestPullOfABentSpring(t *testing.T) {
	f := severn(t)
	a := f.Bench.Apparatus
	weight := a.Spring.Mass.Value * a.Gravity.Value
	pull := func(x float64) float64 { return 0.1 + 18*x + 60*x*x }
	top := a.Height(0)
	way := func(at float64) float64 { return 0.03 + 0.17*(1-math.Cos(2*math.Pi*at/40))/2 }
	run := recorded(t, 40, 0.025, func(at float64) float64 { return top - way(at) },
		func(at float64) float64 { return pull(way(at)) + weight })
	found, err := FindPull(&f, run)
	if err != nil {
		t.Fatal(err)
	}
	if found.AsLeft["spring_curve_mm"] == nil {
		t.Fatalf("no curve: %+v", found)
	}
	laid, err := f.Lay(found.AsLeft)
	if err != nil {
		t.Fatal(err)
	}
	b := laid.Bench.Apparatus
	load := b.Bob.Mass.Value * b.Gravity.Value
	x := b.Equilibrium()
	if off := pull(x) - load; math.Abs(off) > 0.02 {
		t.Errorf("hangs at %g m, where the spring pulls with %g N instead of %g N", x, pull(x), load)
	}
}
