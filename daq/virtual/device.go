package virtual

import (
	"fmt"
	"math"
	"sync/atomic"

	"joulewell/daq/wire"
)

// announcing is the time [us of the device clock] between two announcements.
const announcing = 5e6

// task is one of the things that the device does when it is due.
type task int

const (
	announce task = iota
	look          // trigger the ranger
	weigh         // take a conversion
	feel          // read the thermometer
	taskCount
)

const never = math.MaxInt64

// Device is a simulated device with its apparatus, sensors and faults. It plays its
// bytes by [Device.Next], one caller at a time; [Device.Restart] and [Device.Ask] may
// be called from anywhere at any time.
type Device struct {
	cfg         Config
	rig         *Rig
	counter     counter
	ranger      *ranger
	load        *loadCell
	thermometer *thermometer
	line        *transport
	faults      []*active
	lookback    int64 // [ns] that the rig must stay behind for a sensor that shows the past

	now     int64 // [ns] of the newest task
	due     [taskCount]int64
	done    [taskCount]int64 // how often, since power-up
	boots   int
	columns []wire.Column
	names   []string
	note    []byte

	seq     uint32
	stamped uint32 // newest stamp
	frozen  int64  // [ns] until which the firmware hangs
	text    []byte // the line in the making
	reading indication
	sample  Sample
	watcher func(*Sample)

	restart, ask atomic.Bool
	still        atomic.Pointer[still]
}

// New returns the device of c, not yet powered up. It refuses what cannot be.
func New(c Config) (*Device, error) {
	c, err := c.effective()
	if err != nil {
		return nil, fmt.Errorf("set up virtual device of bench %s: %w", c.Name, err)
	}
	rig := newRig(&c)
	d := &Device{
		cfg: c, rig: rig, counter: counter{Clock: c.Clock}, ranger: newRanger(&c, rig),
		load: newLoadCell(&c, rig), thermometer: newThermometer(&c), line: newTransport(&c),
		faults: activate(&c),
		note:   fmt.Appendf(nil, "#virtual bench %s, %s on %s: simulated readings\n", c.Name, c.BobLabel, c.SpringLabel),
	}
	if c.Ranger.Optical {
		d.lookback = nanoseconds(c.Ranger.Delay)
	}
	d.restart.Store(true)
	return d, nil
}

// Describe names the device for people.
func (d *Device) Describe() string { return "virtual bench " + d.cfg.Name }

// Restart powers the device up anew, as opening its port does to many boards: lines
// and clock start over, while the apparatus moves on. It takes effect at the next
// call of Next.
func (d *Device) Restart() { d.restart.Store(true) }

// Ask is a question mark from the host: at the next call of Next the device announces
// itself and its columns.
func (d *Device) Ask() { d.ask.Store(true) }

// Watch lets f see every line as the firmware means it, before faults of the line
// touch it, beside what is true. The sample is f's until it returns. It must be called
// before the first Next.
func (d *Device) Watch(f func(*Sample)) { d.watcher = f }

// Next returns the next bytes that reach the host, and when [ns since the start of the
// simulation], never falling. The bytes are the caller's until the next call. A
// virtual device never ends: ok is always true.
func (d *Device) Next() (chunk []byte, at int64, ok bool) {
	if d.restart.Swap(false) {
		d.line.drop()
		d.powerUp(d.now)
	}
	for {
		if d.ask.Swap(false) {
			d.announce(d.now)
		}
		if chunk, at, ok := d.line.take(); ok {
			return chunk, at, true
		}
		d.work()
	}
}

// powerUp starts the firmware at the instant at [ns].
func (d *Device) powerUp(at int64) {
	d.boots++
	ready := at + nanoseconds(d.cfg.Line.Boot)
	d.now = ready
	d.counter.up, d.counter.back = ready, 0
	d.line.idle, d.line.batch = ready, max(d.line.batch, ready)
	d.seq, d.stamped, d.frozen = 0, d.counter.Start, 0
	d.done = [taskCount]int64{}
	d.rig.advance(ready - d.lookback)
	d.load.power(ready)
	d.arrange(false)
	for t := range d.due {
		d.plan(task(t))
	}
	d.send(append(d.text[:0], '\n'), ready) // ends what a reader holds of an earlier line
}

// work does what is due next.
func (d *Device) work() {
	next, at := task(0), d.due[0]
	for t, due := range d.due {
		if due < at {
			next, at = task(t), due
		}
	}
	if f := d.nextHappening(); f != nil && f.next <= at {
		d.now = max(d.now, f.next)
		f.happen(d)
		return
	}
	d.now = max(d.now, at)
	d.ranger.still = d.still.Load()
	d.load.still = d.ranger.still
	d.rig.advance(d.now - d.lookback)
	d.sample = Sample{Boot: d.boots, At: d.now, Distance: math.NaN(), Force: math.NaN()}
	d.done[next]++
	switch next {
	case announce:
		d.announce(d.now)
	case look:
		d.look()
	case weigh:
		d.weigh()
	case feel:
		d.feel()
	}
	d.plan(next)
}

// plan sets when a task is due again.
func (d *Device) plan(t task) {
	d.due[t] = never
	n := float64(d.done[t])
	switch {
	case t == announce:
		d.due[t] = d.counter.reached(n * announcing)
	case t == look:
		d.due[t] = d.counter.reached((n + 1) * 1e6 / d.cfg.Ranger.Rate)
	case t == weigh && !d.cfg.Load.Paired:
		d.due[t] = d.load.due()
	case t == feel && d.cfg.Thermometer.Period > 0:
		d.due[t] = d.counter.reached((n + 0.25) * 1e6 * d.cfg.Thermometer.Period)
	}
}
