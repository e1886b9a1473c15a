package trials

import (
	"math"
	"slices"
	"sort"

	"joulewell/calib"
	"joulewell/daq/analysis"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/wire"
	"joulewell/energy"
	"joulewell/energy/motion"
)

// view is a trial as the judges see it. Times are seconds on the rows' time base.
type view struct {
	bench   *setup.Bench
	body    *body
	swing   *analysis.Swing // nil where the analysis sees none
	cycles  int             // [1] whole swings that a trial must have
	release float64         // [s]
	end     float64         // [s] of the rows

	seen    []float64 // [s] when distances were taken
	heights []float64 // [m] that they show
	sight   channel   // distances, as heights
	cell    channel   // conversions, as places
	felt    []float64 // [s] of the forces
	pull    []float64 // [N] force less weight
	impulse []float64 // [N s] of it since the first
	states  []state   // of the motion since the release, in order of time
	window  float64   // [s] half of that in which they were fitted
	beyond  int       // [1] distances out of the sensor's range since the release
}

// state is the bob at the instant of a distance.
type state struct {
	t                float64         // [s]
	height, velocity energy.Estimate // [m] and [m/s] by the scatter of the distances
}

func newView(rows []frame.Frame, b *setup.Bench, hung *body, o Options) *view {
	v := &view{bench: b, body: hung, cycles: o.Cycles, release: o.Release}
	for i := range rows {
		v.see(&rows[i])
		v.feel(&rows[i])
		v.end = rows[i].Seconds()
	}
	v.sight = channel{v.seen, v.heights, v.body.noise}
	v.cell.noise = v.body.feel / v.body.apparatus.Spring.Rate.Value
	v.move()
	return v
}

// move fits the motion since the release.
func (v *view) move() {
	const often = 0.005 // [s] between states at least
	first := sort.SearchFloat64s(v.seen, v.release)
	ns := make([]int64, 0, len(v.seen)-first)
	for _, t := range v.seen[first:] {
		ns = append(ns, nanoseconds(t))
	}
	bridged := min(1, max(0.1, 3.5*v.step()))
	v.hold(v.heights[:first])
	smoother, err := motion.NewSmoother(ns, v.heights[first:], motion.SmoothOptions{Gap: bridged})
	if err != nil {
		return // too few to tell of a motion
	}
	smoother.Settle()
	v.window = smoother.HalfWidth
	for _, t := range ns {
		if n := len(v.states); n > 0 && seconds(t)-v.states[n-1].t < often {
			continue
		}
		if x, w, _ := smoother.At(t); x.Known() {
			v.states = append(v.states, state{seconds(t), x, w})
		}
	}
}

// hold puts before the motion the place where the bob was held, still at rest at the
// instant of the release.
func (v *view) hold(before []float64) {
	const last = 20 // distances
	const few = 3
	const unsure = 0.02 // [s] of the release
	if len(before) < few {
		return
	}
	held := slices.Sorted(slices.Values(before[max(0, len(before)-last):]))
	noise := v.body.noise
	v.states = append(v.states, state{
		v.release, energy.Estimate{Value: held[len(held)/2], U: noise}, energy.Estimate{U: noise / unsure},
	})
}

// see takes the distance of a row at the instant at which the sound met the bob.
func (v *view) see(f *frame.Frame) {
	if f.Flags&frame.OutOfRange != 0 && f.Seconds() >= v.release {
		v.beyond++
	}
	if !f.Distance.Known() || f.Flags&frame.Outlier != 0 {
		return
	}
	c := &v.bench.Calibration.Distance
	at := f.Seconds() - c.Delay.Value
	if f.Reading.Has(wire.EchoUs) {
		at += calib.EchoFlight(f.Reading.Values[wire.EchoUs])
	}
	if n := len(v.seen); n == 0 || at > v.seen[n-1] {
		v.seen, v.heights = append(v.seen, at), append(v.heights, c.Height(f.Distance.Value))
	}
}

func (v *view) feel(f *frame.Frame) {
	c := &v.bench.Calibration.Force
	for _, column := range [...]wire.Column{wire.LoadCounts, wire.LoadN} {
		if f.Reading.Has(column) {
			pull := c.Newtons(f.Reading.Values[column]).Value - v.body.weight
			v.cell.t = append(v.cell.t, f.Seconds()-c.Delay.Value)
			v.cell.y = append(v.cell.y, -pull/v.body.apparatus.Spring.Rate.Value)
		}
	}
	at, n := f.Seconds(), len(v.felt)
	if !f.Force.Known() || n > 0 && at <= v.felt[n-1] {
		return
	}
	pull, impulse := f.Force.Value-v.body.weight, 0.0
	if n > 0 {
		impulse = v.impulse[n-1] + (pull+v.pull[n-1])/2*(at-v.felt[n-1])
	}
	v.felt, v.pull, v.impulse = append(v.felt, at), append(v.pull, pull), append(v.impulse, impulse)
}

// at reads a line of values between two of its times; NaN outside.
func at(times, values []float64, t float64) float64 {
	i := sort.SearchFloat64s(times, t)
	switch {
	case i < len(times) && times[i] == t:
		return values[i]
	case i == 0 || i == len(times):
		return math.NaN()
	}
	share := (t - times[i-1]) / (times[i] - times[i-1])
	return values[i-1] + share*(values[i]-values[i-1])
}

// given is the impulse [N s] of force less weight from one instant to another.
func (v *view) given(from, to float64) float64 {
	return at(v.felt, v.impulse, to) - at(v.felt, v.impulse, from)
}

// gap is a stretch without a distance.
type gap struct {
	from, to float64 // [s]
	missing  int     // [1] distances that should have been there
}

// gaps returns the stretches without a distance since the release, and how many
// distances there were.
func (v *view) gaps() (all []gap, count int) {
	step := v.step()
	for i := 1; i < len(v.seen); i++ {
		if v.seen[i-1] < v.release {
			continue
		}
		count++
		if missing := int(math.Round((v.seen[i]-v.seen[i-1])/step)) - 1; missing > 0 {
			all = append(all, gap{v.seen[i-1], v.seen[i], missing})
		}
	}
	return all, count
}

// step is the usual time [s] between distances. With many lost the median is a gap.
func (v *view) step() float64 {
	var steps []float64
	for i := 1; i < len(v.seen); i++ {
		steps = append(steps, v.seen[i]-v.seen[i-1])
	}
	if len(steps) == 0 {
		return math.Inf(1)
	}
	slices.Sort(steps)
	return steps[len(steps)/4]
}
