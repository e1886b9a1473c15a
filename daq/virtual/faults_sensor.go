package virtual

import "math"

// Bursts of noise without a time of their own.
const (
	burstEvery = 5e9 // [ns]
	burstLong  = 1e9 // [ns]
)

// sensorFaults change what the sensors say.
var sensorFaults = []spec{
	{
		Fault:    Fault{"lost-echo", "the ranger hears nothing and its value stays empty", 0.1, "1"},
		kind:     share,
		distance: func(_ *active, _ *Device, m *indication) { m.missing = true },
	},
	{
		Fault:    Fault{"echo-outlier", "the ranger hears the echo of something nearer or farther", 0.05, "1"},
		kind:     share,
		distance: func(f *active, _ *Device, m *indication) { m.astray(f.rng.Float64()) },
	},
	{
		Fault:    Fault{"noise-burst", "both sensors are this many times as noisy, for 1 s in every 5 s unless a time is given", 10, "times"},
		kind:     steady,
		distance: burst,
		force:    burst,
	},
	{
		Fault:    Fault{"stuck-range", "the ranger repeats its last value for this long", 2, "s"},
		kind:     event,
		distance: repeat,
	},
	{
		Fault: Fault{"stuck-load", "the load cell repeats its last value for this long", 2, "s"},
		kind:  event,
		force: repeat,
	},
	{
		Fault: Fault{"load-saturated", "the converter is at its end from this many times the bob's weight on", 1.2, "times"},
		kind:  steady,
		force: saturate,
	},
	{
		Fault: Fault{"load-drift", "the load cell's zero wanders off this fast", 0.002, "N/s"},
		kind:  steady,
		force: func(f *active, d *Device, m *indication) {
			m.raw += m.unit * f.Strength * (float64(d.now)*1e-9 - f.From)
		},
	},
	{
		Fault: Fault{"load-spike", "a conversion is off by half a newton to five newtons", 0.02, "1"},
		kind:  share,
		force: func(f *active, _ *Device, m *indication) {
			spike := 0.5 + 4.5*f.rng.Float64()
			if f.rng.Float64() < 0.5 {
				spike = -spike
			}
			m.raw += m.unit * spike
		},
	},
}

func burst(f *active, d *Device, m *indication) {
	if math.IsInf(f.To, 1) && d.now%burstEvery >= burstLong {
		return
	}
	more := math.Sqrt(max(f.Strength*f.Strength-1, 0)) // adds up to Strength times the noise there is
	m.raw += m.unit * m.noise * more * f.rng.NormFloat64()
}

func repeat(f *active, d *Device, m *indication) {
	if d.now < f.until {
		m.raw, m.missing = f.value, false
	} else if !m.missing {
		f.value = m.raw
	}
}

func saturate(f *active, d *Device, m *indication) {
	limit := f.Strength * d.cfg.Bob.Mass * d.cfg.Gravity
	switch force := (m.raw - d.cfg.Load.Zero) / m.unit; {
	case force <= limit:
	case d.cfg.Load.Newtons:
		m.raw = d.cfg.Load.Zero + limit*m.unit
	default:
		m.raw = math.Copysign(fullScale+1, m.unit)
	}
}
