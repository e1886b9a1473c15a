package analysis

import (
	"errors"
	"fmt"
	"io"
	"math"
	"slices"

	"joulewell/calib"
	"joulewell/daq/frame"
	"joulewell/daq/wire"
	"joulewell/energy"
	"joulewell/energy/motion"
)

// Rows gives the rows of a recorded run one by one, io.EOF at the end.
type Rows interface {
	Next(f *frame.Frame) error
}

// Counts say what the rows held.
type Counts struct {
	Rows       uint64 // [1] in all
	Distances  uint64 // [1] rows with a distance that counts
	NoEcho     uint64 // [1] rows whose ranger heard nothing
	OutOfRange uint64 // [1] rows whose distance lies outside of what the sensor can see
	Misplaced  uint64 // [1] rows with values older than those before them
	Forces     uint64 // [1] rows with a force
	Epochs     uint64 // [1] stretches between restarts of the device
}

// epoch holds the channels between two restarts of the device.
type epoch struct {
	heights motion.Series // [m] of the bob's lowest point, at the instants that the distances hold for
	forces  motion.Series // [N] at the spring's top, likewise
}

// channels are all readings of a run, calibrated.
type channels struct {
	counts Counts
	epochs []*epoch
	air    energy.Estimate // [Cel] temperature of the moment
	wet    energy.Estimate // [1] relative humidity of the moment; none where no sensor tells
	sound  energy.Estimate // [m/s] speed of sound in that air
	echoes bool            // distances are timed sounds
}

// read takes in all rows. Rows that a reader refuses end it.
func read(rows Rows, c *calib.Calibration) (*channels, error) {
	ch := &channels{air: c.Air.Temperature, wet: energy.None()}
	ch.sound = calib.SpeedOfSound(ch.air, ch.wet)
	var f frame.Frame
	var number uint32
	var e *epoch
	for {
		switch err := rows.Next(&f); {
		case errors.Is(err, io.EOF):
			ch.counts.Epochs = uint64(len(ch.epochs))
			return ch, nil
		case err != nil:
			return nil, err
		}
		ch.counts.Rows++
		if e == nil || f.Epoch != number {
			e, number = &epoch{}, f.Epoch
			ch.epochs = append(ch.epochs, e)
		}
		ch.hear(&f.Reading)
		ch.see(e, &f, c)
		ch.feel(e, &f, c)
	}
}

// hear takes what the row says of the air.
func (ch *channels) hear(r *wire.Reading) {
	if !r.Has(wire.AirCentiC) && !r.Has(wire.AirHumidityPct) {
		return
	}
	if celsius := r.Values[wire.AirCentiC] / 100; r.Has(wire.AirCentiC) && celsius > -40 && celsius < 60 {
		ch.air.Value = celsius
	}
	if r.Has(wire.AirHumidityPct) {
		ch.wet = calib.Humidity(r.Values[wire.AirHumidityPct])
	}
	ch.sound = calib.SpeedOfSound(ch.air, ch.wet)
}

// see takes the distance, if the row has one. The sound of an echo met the bob half a
// flight after the row's time.
func (ch *channels) see(e *epoch, f *frame.Frame, c *calib.Calibration) {
	var distance, flight float64
	switch r := &f.Reading; {
	case r.Has(wire.EchoUs):
		distance = c.Distance.Echo(r.Values[wire.EchoUs], ch.sound).Value
		flight = calib.EchoFlight(r.Values[wire.EchoUs])
		ch.echoes = true
	case r.Has(wire.RangeMm):
		distance = c.Distance.Range(r.Values[wire.RangeMm]).Value
	default:
		return
	}
	switch {
	case !(distance > 0):
		ch.counts.NoEcho++
	case !c.Distance.InRange(distance) || math.IsInf(distance, 0):
		ch.counts.OutOfRange++
	default:
		ch.add(&e.heights, f.T+nanoseconds(flight)-nanoseconds(c.Distance.Delay.Value), c.Distance.Height(distance), &ch.counts.Distances)
	}
}

// feel takes the force, if the row has one.
func (ch *channels) feel(e *epoch, f *frame.Frame, c *calib.Calibration) {
	indication, ok := f.Reading.Load()
	if !ok {
		return
	}
	if newtons := c.Force.Newtons(indication).Value; !math.IsInf(newtons, 0) && !math.IsNaN(newtons) {
		ch.add(&e.forces, f.T-nanoseconds(c.Force.Delay.Value), newtons, &ch.counts.Forces)
	}
}

func (ch *channels) add(s *motion.Series, t int64, value float64, count *uint64) {
	if n := len(s.Times); n > 0 && t <= s.Times[n-1] {
		ch.counts.Misplaced++
		return
	}
	if n := len(s.Times); n == cap(s.Times) { // an hour of readings grows by doubling, or is copied ten times
		s.Times, s.Values = slices.Grow(s.Times, max(n, 1024)), slices.Grow(s.Values, max(n, 1024))
	}
	s.Times, s.Values = append(s.Times, t), append(s.Values, value)
	*count++
}

// usable says why no distance can be used, if so.
func (c *Counts) usable() error {
	switch {
	case c.Rows == 0:
		return fmt.Errorf("%w: it holds no rows", ErrNothing)
	case c.Distances > 0:
		return nil
	case c.NoEcho+c.OutOfRange == 0:
		return fmt.Errorf("%w: none of its %d rows holds a distance", ErrNothing, c.Rows)
	}
	return fmt.Errorf("%w: none of its %d rows holds a usable distance: %d without an echo, %d out of the sensor's range",
		ErrNothing, c.Rows, c.NoEcho, c.OutOfRange)
}

func nanoseconds(s float64) int64 { return int64(math.Round(s * 1e9)) }

func seconds(t int64) float64 { return float64(t) * 1e-9 }
