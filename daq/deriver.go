package daq

import (
	"fmt"
	"math"

	"joulewell/calib"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/wire"
	"joulewell/energy"
	"joulewell/energy/motion"
)

// Timed is a reading whose time on the bench's time base is known.
type Timed struct {
	T       int64        // [ns]
	Epoch   uint32       // [1] see frame.Frame
	Reading wire.Reading // as received
}

// Deriver turns timed readings into frames: calibration, motion, energies. It is a
// pure function of the readings of the last second or so, which is why a run file
// worked out again gives the same derived columns bit for bit.
//
// Frames come out a fixed lag after their reading went in, because position and
// velocity at an instant use readings on both sides of it. A Deriver allocates
// nothing once its queues have grown to the rate of the readings.
type Deriver struct {
	calibration calib.Calibration
	apparatus   energy.Apparatus
	model       *energy.Model
	lag         int64

	air    energy.Estimate // [Cel] temperature of the moment
	wet    energy.Estimate // [1] relative humidity of the moment; none where no sensor tells
	speed  energy.Estimate // [m/s] of sound in that air
	motion *motion.Live
	force  forceLine

	started  bool
	epoch    uint32
	waiting  []frame.Frame // in order of time, from head on
	head     int
	released []frame.Frame
}

// NewDeriver returns a Deriver for b, or the refusal of what in b cannot be.
func NewDeriver(b *setup.Bench) (*Deriver, error) {
	if err := b.Calibration.Check(); err != nil {
		return nil, fmt.Errorf("set up bench %s: %w", b.Name, err)
	}
	model, err := energy.NewModel(b.Apparatus, 0)
	if err != nil {
		return nil, fmt.Errorf("set up bench %s: %w", b.Name, err)
	}
	live, err := motion.NewLive(motion.LiveOptions{
		Noise:  b.Calibration.Distance.Noise,
		Lag:    b.Motion.Lag.Seconds(),
		Degree: b.Motion.Degree,
	})
	if err != nil {
		return nil, fmt.Errorf("set up bench %s: %w", b.Name, err)
	}
	d := &Deriver{
		calibration: b.Calibration,
		apparatus:   b.Apparatus,
		model:       model,
		lag:         live.Lag(),
		motion:      live,
		force:       newForceLine(b.Calibration.Force.Delay.Value),
	}
	d.air, d.wet = b.Calibration.Air.Temperature, energy.None()
	d.speed = calib.SpeedOfSound(d.air, d.wet)
	return d, nil
}

// Lag returns by how much [ns] frames trail their readings.
func (d *Deriver) Lag() int64 { return d.lag }

// Push takes a reading, which must not be earlier than the one before, and returns
// the frames that it completes, in order of time. The slice is valid until the next
// call.
func (d *Deriver) Push(r *Timed) []frame.Frame {
	d.released = d.released[:0]
	flags := frame.Flags(0)
	if d.started && r.Epoch != d.epoch {
		d.release(math.MaxInt64)
		d.motion.Reset()
		d.force.reset()
		flags |= frame.NewEpoch
	}
	d.started, d.epoch = true, r.Epoch

	d.waiting = append(d.waiting, frame.Frame{
		T: r.T, Epoch: r.Epoch, Reading: r.Reading, Flags: flags,
		Distance: energy.None(), Force: energy.None(), Height: energy.None(),
		Extension: energy.None(), Velocity: energy.None(), Energies: energy.NoEnergies(),
	})
	d.take(&d.waiting[len(d.waiting)-1])
	d.release(r.T - d.lag)
	return d.released
}

// Flush returns the frames still waiting for later readings, worked out with what is
// there. The slice is valid until the next call.
func (d *Deriver) Flush() []frame.Frame {
	d.released = d.released[:0]
	d.release(math.MaxInt64)
	return d.released
}

// take calibrates the raw values of f and adds them to the lines of motion and force.
func (d *Deriver) take(f *frame.Frame) {
	r := &f.Reading
	if r.Has(wire.AirCentiC) || r.Has(wire.AirHumidityPct) {
		d.hear(r)
	}
	switch {
	case r.Has(wire.EchoUs):
		flight := calib.EchoFlight(r.Values[wire.EchoUs])
		d.see(f, d.calibration.Distance.Echo(r.Values[wire.EchoUs], d.speed), flight)
	case r.Has(wire.RangeMm):
		d.see(f, d.calibration.Distance.Range(r.Values[wire.RangeMm]), 0)
	case r.Empty():
		f.Flags |= frame.NoEcho // a lost echo is a line with nothing on it
	}
	if indication, ok := r.Load(); ok {
		d.force.add(f.T, d.calibration.Force.Newtons(indication))
	}
}

// hear takes what a thermometer on the bench says of the air.
func (d *Deriver) hear(r *wire.Reading) {
	if celsius := r.Values[wire.AirCentiC] / 100; r.Has(wire.AirCentiC) && celsius > -40 && celsius < 60 {
		d.air.Value = celsius
	}
	if r.Has(wire.AirHumidityPct) {
		d.wet = calib.Humidity(r.Values[wire.AirHumidityPct])
	}
	d.speed = calib.SpeedOfSound(d.air, d.wet)
}

// see takes a distance, met flight [s] after the reading's time.
func (d *Deriver) see(f *frame.Frame, distance energy.Estimate, flight float64) {
	c := &d.calibration.Distance
	switch {
	case distance.Value <= 0:
		f.Flags |= frame.NoEcho
	case !c.InRange(distance.Value):
		f.Flags |= frame.OutOfRange
	default:
		f.Distance = energy.Estimate{Value: distance.Value, U: root2(distance.U, c.Noise)}
		met := f.T + nanoseconds(flight) - nanoseconds(c.Delay.Value)
		if d.motion.Add(met, c.Height(distance.Value)) != nil {
			f.Flags |= frame.Outlier // overtaken by the echo before it: it cannot be placed
		}
	}
}

// release works out and hands over the frames up to the instant t.
func (d *Deriver) release(t int64) {
	for d.head < len(d.waiting) && d.waiting[d.head].T <= t {
		f := &d.waiting[d.head]
		d.derive(f)
		d.released = append(d.released, *f)
		d.head++
	}
	if d.head == len(d.waiting) {
		d.waiting, d.head = d.waiting[:0], 0
	} else if d.head > len(d.waiting)/2 && d.head > 64 {
		n := copy(d.waiting, d.waiting[d.head:])
		d.waiting, d.head = d.waiting[:n], 0
	}
}

// derive fills in what needs readings on both sides of f.
func (d *Deriver) derive(f *frame.Frame) {
	f.Force = d.force.at(f.T, d.calibration.Force.Noise)
	height, velocity, quality := d.motion.At(f.T)
	if d.setAside(f, quality) {
		f.Flags |= frame.Outlier
	}
	if !height.Known() {
		f.Flags |= frame.NoMotion
		return
	}
	c := &d.calibration.Distance
	distance, sound := math.Abs(height.Value-c.Offset.Value), d.speedU(f)
	relative := root2(c.Scale.U/c.Scale.Value, sound)
	common := c.Common(distance, sound)
	late := velocity.Value * c.Delay.U
	height.U = math.Sqrt(height.U*height.U + common*common + late*late)
	velocity.U = root2(velocity.U, velocity.Value*relative)

	f.Height, f.Velocity = height, velocity
	f.Extension = d.apparatus.ExtensionOf(height)
	f.Energies = d.model.At(energy.State{
		Height: height, Velocity: velocity,
		Bias: quality.VelocityNoise * quality.VelocityNoise,
	})
}

// setAside reports whether the distance that f itself brought was left out as
// impossible motion. The sound of an echo met the bob a little after the frame's time.
func (d *Deriver) setAside(f *frame.Frame, here motion.Quality) bool {
	if !f.Distance.Known() {
		return false
	}
	met := f.T - nanoseconds(d.calibration.Distance.Delay.Value)
	if f.Reading.Has(wire.EchoUs) {
		met += nanoseconds(calib.EchoFlight(f.Reading.Values[wire.EchoUs]))
	}
	if met == f.T {
		return here.Outlier
	}
	_, _, there := d.motion.At(met)
	return there.Outlier
}

// speedU returns the relative standard uncertainty of the speed of sound, which does
// not matter to a sensor that states distances.
func (d *Deriver) speedU(f *frame.Frame) float64 {
	if f.Reading.Has(wire.RangeMm) {
		return 0
	}
	return d.speed.U / d.speed.Value
}

func nanoseconds(s float64) int64 { return int64(math.Round(s * 1e9)) }
