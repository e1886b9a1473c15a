package virtual

// deviceFaults upset the device as a whole: its firmware, its clock, its way to the
// host.
var deviceFaults = []spec{
	{
		Fault: Fault{"reset", "the device restarts by itself and is mute for this long", 0.5, "s"},
		kind:  event,
		happen: func(f *active, d *Device) {
			d.powerUp(d.now + nanoseconds(f.Strength))
		},
	},
	{
		Fault: Fault{"new-field-order", "the device restarts, mute for this long, and its columns stand in another order", 0.5, "s"},
		kind:  event,
		happen: func(f *active, d *Device) {
			d.powerUp(d.now + nanoseconds(f.Strength))
			f.value = 1 - f.value
			d.arrange(f.value == 1)
		},
	},
	{
		Fault:  Fault{"freeze", "the firmware hangs for this long and then goes on, its clock uninterrupted", 3, "s"},
		kind:   event,
		happen: func(f *active, d *Device) { d.frozen = f.until },
	},
	{
		Fault:  Fault{"time-jump-back", "the device clock goes back by this much", 1, "s"},
		kind:   event,
		happen: func(f *active, d *Device) { d.counter.back += f.Strength * 1e6 },
	},
	{
		Fault: Fault{"latency-burst", "nothing arrives for this long, then everything at once", 0.5, "s"},
		kind:  event,
		happen: func(f *active, d *Device) {
			d.line.stall, d.line.stallEnd = d.now, f.until
		},
	},
	{
		Fault: Fault{"clock-wrap", "the device clock wraps around this long after power-up", 5, "s"},
		kind:  built,
		shape: func(c *Config, after float64) { c.Clock.Start = -uint32(int64(after * 1e6)) },
	},
	{
		Fault: Fault{"clock-drift", "the rate of the device clock grows by this much, as when it warms up", 1, "ppm/s"},
		kind:  built,
		shape: func(c *Config, drift float64) { c.Clock.Drift = drift },
	},
	{
		Fault: Fault{"no-fields", "the device never says what its columns are", 1, "1"},
		kind:  built,
		shape: func(c *Config, _ float64) { c.Line.Silent = true },
	},
}
