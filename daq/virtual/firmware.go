package virtual

import (
	"math"

	"joulewell/daq/wire"
)

// Sample is one line as the firmware means it, beside what is true.
type Sample struct {
	Boot     int          // [1] power-ups so far
	At       int64        // [ns] true time of the instant that the stamp stands for
	Ready    int64        // [ns] true time at which the firmware had the values
	Reading  wire.Reading // stamp and values
	Distance float64      // [m] true distance that the ranger's value stands for; NaN when the line is not the ranger's
	Force    float64      // [N] true mean tension that the conversion stands for; NaN when there is none
}

// announce sends what the device is and what its columns are.
func (d *Device) announce(at int64) {
	d.send(d.note, at)
	if !d.cfg.Line.Silent {
		d.text = wire.AppendFields(d.text[:0], d.names)
		d.send(d.text, at)
	}
}

// look takes a distance, and a conversion with it when the two are paired. An echo is
// there only a while after its trigger; lines of other values wait for it, so that
// stamps never fall.
func (d *Device) look() {
	m := &d.reading
	distance, after := d.ranger.measure(m, d.now, &d.counter)
	for _, f := range d.faults {
		if f.spec.distance != nil && f.acts(d.now) {
			f.spec.distance(f, d, m)
		}
	}
	r := &d.sample.Reading
	if !m.missing {
		d.sample.Distance = distance
		r.Set(d.rangeColumn(), d.ranger.rounded(m.raw))
	}
	if d.cfg.Load.Paired {
		d.convert()
	}
	d.report(d.now + nanoseconds(after))
}

// weigh takes a conversion; before the converter has settled there is nothing to say.
func (d *Device) weigh() {
	if d.convert() {
		d.report(d.now)
	}
}

func (d *Device) convert() (settled bool) {
	m := &d.reading
	force := d.load.convert(m, d.now)
	if m.missing {
		return false
	}
	for _, f := range d.faults {
		if f.spec.force != nil && f.acts(d.now) {
			f.spec.force(f, d, m)
		}
	}
	d.sample.Force = force
	d.sample.Reading.Set(d.loadColumn(), d.load.rounded(m.raw))
	return true
}

func (d *Device) feel() {
	r := &d.sample.Reading
	r.Set(wire.AirCentiC, d.thermometer.report(d.now))
	if d.cfg.Thermometer.Humidity {
		r.Set(wire.AirHumidityPct, math.Round(d.cfg.Air.Humidity))
	}
	d.report(d.now)
}

// report sends the reading of the sample, whose values are there at the instant ready
// [ns]. A line that finds the queue full is lost, and seq shows it.
func (d *Device) report(ready int64) {
	if d.now < d.frozen {
		return
	}
	r := &d.sample.Reading
	late := d.now
	if d.cfg.Clock.Late > 0 {
		late += nanoseconds(d.cfg.Clock.Late * d.line.rng.Float64())
	}
	r.DeviceUs = d.counter.stamp(late)
	if ahead := int32(d.stamped - r.DeviceUs); ahead > 0 && ahead < 1000 {
		r.DeviceUs = d.stamped // overtaken by a stamp that was late
	}
	d.stamped = r.DeviceUs
	r.Seq = d.seq
	d.seq++
	if d.cfg.Clock.SeqBits == 16 {
		d.seq &= 0xffff
	}
	d.sample.Ready = ready
	if d.watcher != nil {
		d.watcher(&d.sample)
	}
	if !d.line.free(ready) {
		return
	}
	text := wire.AppendReading(d.text[:0], d.columns, r)
	for _, f := range d.faults {
		if f.spec.line != nil && f.acts(d.now) {
			text = f.spec.line(f, d, text)
		}
	}
	d.text = text
	d.send(text, ready)
}

func (d *Device) send(line []byte, ready int64) {
	if d.now >= d.frozen && len(line) > 0 {
		d.line.send(line, d.line.start(ready))
	}
}

// arrange sets the order of the columns: stamps first, or reversed.
func (d *Device) arrange(reversed bool) {
	c := []wire.Column{wire.Seq, wire.DeviceUs, d.rangeColumn(), d.loadColumn()}
	if d.cfg.Thermometer.Period > 0 {
		c = append(c, wire.AirCentiC)
		if d.cfg.Thermometer.Humidity {
			c = append(c, wire.AirHumidityPct)
		}
	}
	d.names = d.names[:0]
	if reversed {
		for i, j := 0, len(c)-1; i < j; i, j = i+1, j-1 {
			c[i], c[j] = c[j], c[i]
		}
	}
	for _, column := range c {
		d.names = append(d.names, wire.ColumnName(column))
	}
	d.columns = c
}

func (d *Device) rangeColumn() wire.Column {
	if d.cfg.Ranger.Optical {
		return wire.RangeMm
	}
	return wire.EchoUs
}

func (d *Device) loadColumn() wire.Column {
	if d.cfg.Load.Newtons {
		return wire.LoadN
	}
	return wire.LoadCounts
}
