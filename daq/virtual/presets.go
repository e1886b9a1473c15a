package virtual

import "joulewell/calib"

// Default returns bench Tamar of the evening physics course at Harbour Street
// Institute: a brass bob on spring S-4, let go where the spring hangs unloaded, caught
// and raised again every half minute, watched by modest sensors.
func Default() Config {
	return Config{
		Name: "Tamar", SpringLabel: "spring S-4", BobLabel: "brass bob", Seed: 1,
		Spring:  Spring{Mass: 0.0103, NaturalLength: 0.1205, Rate: 25.14, Coils: 40, Contact: 32},
		Bob:     Bob{Mass: 0.2502, Length: 0.0604},
		Support: 1.0035,
		Gravity: 9.8123,
		Losses:  Losses{Viscous: 0.004, Quadratic: 0.006, Sliding: 0.0012, Internal: 0.004, Restitution: 0.4},
		Hand:    Hand{Hold: 1, Period: 30, Carry: 1.5},
		Air:     Air{Temperature: 20.6, Warming: 1e-4, Humidity: 47},
		Ranger: Ranger{
			Mounting: calib.Floor, Position: 0.0352, Rate: 40, Noise: 1e-3,
			Min: 0.03, Max: 1.5, Lost: 0.002, Outliers: 0.001, Scale: 1,
		},
		Load: LoadCell{
			Rate: 80, RateOffset: 0.011, Noise: 2e-3, Zero: -41877, Span: -1.1837e-5,
			Drift: 4e-3, DriftTime: 1500,
		},
		Thermometer: Thermometer{Period: 2, Offset: 0.1, Noise: 0.03},
		Clock:       Clock{PPM: 37, SeqBits: 32, Late: 4e-6},
		Line:        Line{Baud: 115200, Jitter: 2e-4, Boot: 5e-3},
		Known: Known{
			BobMass: 3e-5, BobLength: 1.5e-4, SpringMass: 3e-5, NaturalLength: 3e-4,
			Rate: 2e-3, Support: 3e-4, Gravity: 5e-4,
			Scale: 5e-4, Offset: 3e-4, Zero: 2e-3, Span: 5e-4, Delay: 5e-4, Temperature: 0.3,
		},
	}
}

// Quiet returns the default bench with good sensors: an optical ranger of 0.5 mm noise
// and a load cell converting at the same instants, at rate [1/s] up to 1000, over a
// line that takes no time.
func Quiet(rate float64) Config {
	c := Default()
	c.Name = "Severn"
	c.Ranger = Ranger{
		Optical: true, Mounting: calib.Floor, Position: 0.0352, Rate: rate, Noise: 5e-4,
		Resolution: 1e-5, Min: 0.03, Max: 2, Scale: 1,
	}
	c.Load = LoadCell{Paired: true, Rate: rate, Noise: 5e-4, Zero: 1203, Span: 1.1837e-5}
	c.Clock = Clock{SeqBits: 32}
	c.Line = Line{Boot: 5e-3}
	return c
}

// Lossless returns the quiet bench at 500 readings a second, let go once and never
// losing energy but to the coils' own motion.
func Lossless() Config {
	c := Quiet(500)
	c.Name = "Medway"
	c.Losses = Losses{}
	c.Hand.Period = 0
	return c
}
