package virtual

import (
	"math"
	"testing"

	"joulewell/calib"
	"joulewell/calib/air"
	"joulewell/daq/wire"
	"joulewell/energy"
)

// statistics returns mean and standard deviation.
func statistics(x []float64) (mean, sd float64) {
	for _, v := range x {
		mean += v
	}
	mean /= float64(len(x))
	for _, v := range x {
		sd += (v - mean) * (v - mean)
	}
	return mean, math.Sqrt(sd / float64(len(x)-1))
}

// scatter checks deviations against a standard deviation and a mean of zero, at four
// times the standard uncertainty of either.
func scatters(t *testing.T, what string, x []float64, sd float64) {
	t.Helper()
	n := float64(len(x))
	if n < 500 {
		t.Fatalf("%s: only %g values", what, n)
	}
	mean, s := statistics(x)
	near(t, "mean of "+what, mean, 0, 4*sd/math.Sqrt(n))
	near(t, "standard deviation of "+what, s, sd, 4*sd/math.Sqrt(2*n))
}

// bare takes chance and outliers out of the sensors of c.
func bare(c Config) Config {
	c.Ranger.Noise, c.Ranger.Lost, c.Ranger.Outliers = 0, 0, 0
	c.Load.Noise, c.Load.Drift = 0, 0
	c.Thermometer.Noise, c.Thermometer.Offset = 0, 0
	c.Air.Warming = 0
	c.Clock = Clock{SeqBits: 32}
	return c
}

// An echo tells where the bob was when the sound met it, half a flight after the
// trigger: c t = distance(t). Speed of sound at 0, 20 and 30 Cel by [air.State.Speed], held
// against published values where it stands, and at -10 Cel by ISO 9613-1.
func TestEchoMeetsTheMovingBob(t *testing.T) {
	speed := func(celsius float64) float64 {
		c, err := (air.State{Temperature: energy.Estimate{Value: celsius}, Humidity: energy.Estimate{Value: 0.47}}).Speed()
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	for _, air := range [][2]float64{{0, speed(0)}, {20, speed(20)}, {30, speed(30)}, {-10, 343.2 * math.Sqrt(263.15/293.15)}} {
		for _, mounting := range []calib.Mounting{calib.Floor, calib.Support} {
			c := bare(brisk())
			c.Air.Temperature, c.Air.Humidity = air[0], 47
			c.Ranger.Mounting = mounting
			if mounting == calib.Support {
				c.Ranger.Position = c.Support + 0.02
			}
			truth := rigOf(t, c)
			worst, atTrigger := 0.0, 0.0
			for _, s := range hear(t, c, 6).samples {
				if !s.Reading.Has(wire.EchoUs) {
					continue
				}
				flight := s.Reading.Values[wire.EchoUs] * 1e-6 / 2
				path := func(at int64) float64 {
					h := truth.At(at).Height
					if mounting == calib.Support {
						return c.Ranger.Position - (h + c.Bob.Length)
					}
					return h - c.Ranger.Position
				}
				atTrigger = max(atTrigger, math.Abs(air[1]*flight-path(s.At)))
				worst = max(worst, math.Abs(air[1]*flight-path(s.At+nanoseconds(flight))))
				near(t, "time until the echo is there [ns]", float64(s.Ready-s.At), 2e9*flight, 501)
				near(t, "true distance [m]", s.Distance, path(s.At+nanoseconds(flight)), 2e-6)
			}
			if tick := air[1] * 0.5e-6 / 2; worst > tick*1.02 {
				t.Errorf("%s at %g Cel: off by up to %g m, want half a microsecond, %g m", mounting, air[0], worst, tick)
			}
			if atTrigger < 3e-4 {
				t.Errorf("%s: the bob's motion during the flight does not show", mounting)
			}
		}
	}
}

// Distances scatter by the noise of the ranger, about the truth, once calibrated.
func TestRangerNoise(t *testing.T) {
	for _, optical := range []bool{false, true} {
		c := brisk()
		c.Ranger.Outliers, c.Ranger.Noise, c.Ranger.Scale = 0, 2e-3, 1.003
		c.Clock.PPM = 1500
		c.Air.Warming = 0
		c.Ranger.Optical, c.Ranger.Resolution = optical, 1e-4
		b := Setup(c)
		d := b.Calibration.Distance
		speed := calib.SpeedOfSound(energy.Estimate{Value: c.Air.Temperature}, energy.Estimate{Value: c.Air.Humidity / 100, U: 0.01})
		var off []float64
		for _, s := range hear(t, c, 60).samples {
			switch {
			case s.Reading.Has(wire.EchoUs):
				off = append(off, d.Echo(s.Reading.Values[wire.EchoUs], speed).Value-s.Distance)
			case s.Reading.Has(wire.RangeMm):
				off = append(off, d.Range(s.Reading.Values[wire.RangeMm]).Value-s.Distance)
			}
		}
		scatters(t, "distances [m]", off, d.Noise)
	}
}

// The setup's offset brings both mountings to the height of the bob's lowest point.
func TestMountings(t *testing.T) {
	for _, m := range []calib.Mounting{calib.Floor, calib.Support} {
		c := bare(Quiet(100))
		c.Ranger.Mounting = m
		if m == calib.Support {
			c.Ranger.Position = c.Support - 0.01
		}
		truth := rigOf(t, c)
		d := Setup(c).Calibration.Distance
		for _, s := range hear(t, c, 3).samples {
			if s.Reading.Has(wire.RangeMm) {
				h := d.Height(d.Range(s.Reading.Values[wire.RangeMm]).Value)
				near(t, string(m)+": height [m]", h, truth.At(s.At).Height, 0.6e-5)
			}
		}
	}
}

func TestOpticalDelay(t *testing.T) {
	c := bare(Quiet(100))
	c.Ranger.Delay = 4e-3
	truth := rigOf(t, c)
	for _, s := range hear(t, c, 3).samples {
		if s.Reading.Has(wire.RangeMm) {
			h := s.Reading.Values[wire.RangeMm]*1e-3 + c.Ranger.Position
			near(t, "height [m]", h, truth.At(s.At-4e6).Height, 0.6e-5)
		}
	}
}

// A target out of range gives no value.
func TestOutOfRange(t *testing.T) {
	c := bare(brisk())
	c.Ranger.Min, c.Ranger.Max = 0.62, 0.72
	near, far, seen := 0, 0, 0
	d, err := New(c)
	if err != nil {
		t.Fatal(err)
	}
	truth := rigOf(t, c)
	for _, s := range listen(t, d, 10).samples {
		if s.Reading.Has(wire.LoadCounts) || s.Reading.Has(wire.AirCentiC) {
			continue
		}
		distance := truth.At(s.At).Height - c.Ranger.Position
		switch has := s.Reading.Has(wire.EchoUs); {
		case has:
			seen++
			if distance < 0.61 || distance > 0.73 {
				t.Fatalf("an echo from %g m", distance)
			}
		case distance < 0.62:
			near++
		case distance > 0.72:
			far++
		}
	}
	if near < 20 || far < 20 || seen < 100 {
		t.Errorf("%d too near, %d too far, %d seen", near, far, seen)
	}
}

// A conversion is the mean of the tension over four periods, so it is two periods old:
// 25 ms at 80 a second. Found as a person would: by shifting the truth until it fits.
func TestLoadCellDelay(t *testing.T) {
	for _, rate := range []float64{80, 320} {
		c := bare(brisk())
		c.Load.Rate, c.Load.RateOffset = rate, 0
		c.Line.Baud = 0
		truth := rigOf(t, c)
		var tension []float64 // every millisecond
		for at := int64(0); at < 12e9; at += 1e6 {
			tension = append(tension, truth.At(at).Tension)
		}
		force := Setup(c).Calibration.Force
		samples := hear(t, c, 11).samples
		misfit := func(delay float64) (sum float64) {
			for _, s := range samples {
				if s.Reading.Has(wire.LoadCounts) && s.At > 3e9 {
					q := (float64(s.At)*1e-9 - delay) * 1e3
					i := int(q)
					true_ := tension[i] + (q-float64(i))*(tension[i+1]-tension[i])
					off := force.Newtons(s.Reading.Values[wire.LoadCounts]).Value - true_
					sum += off * off
				}
			}
			return sum
		}
		best := 0.0
		for delay := 0.0; delay < 0.05; delay += 1e-4 {
			if misfit(delay) < misfit(best) {
				best = delay
			}
		}
		near(t, "delay [s]", best, 2/rate, 3e-4)
		near(t, "delay in the setup [s]", force.Delay.Value, 2/rate, 1e-12)
	}
}

// The mean over four periods takes sinc(4 f T) off the swing's amplitude, and the
// rest of the conversion is exact to its rounding.
func TestLoadCellIsTheMeanTension(t *testing.T) {
	c := bare(brisk())
	force := Setup(c).Calibration.Force
	truth := rigOf(t, c)
	period := 1 / (c.Load.Rate * (1 + c.Load.RateOffset))
	n := 0
	for _, s := range hear(t, c, 5).samples {
		if !s.Reading.Has(wire.LoadCounts) {
			continue
		}
		if n == 0 && s.At < 5e6+nanoseconds(4*period) {
			t.Errorf("a conversion after %d ns, before the converter has settled", s.At-5e6)
		}
		n++
		begin := s.At - nanoseconds(4*period)
		mean := (truth.At(s.At).Impulse - truth.At(begin).Impulse) / (4 * period)
		got := force.Newtons(s.Reading.Values[wire.LoadCounts]).Value
		near(t, "force [N]", got, mean, 0.51*math.Abs(c.Load.Span)+1e-7)
		near(t, "true force [N]", s.Force, mean, 1e-7)
	}
	if n < 380 {
		t.Errorf("only %d conversions", n)
	}
}

func TestLoadCellSaturates(t *testing.T) {
	l := loadCell{}
	near(t, "far above", l.rounded(1e9), 8388607, 0) // 24 bits, two's complement
	near(t, "far below", l.rounded(-1e9), -8388608, 0)
	near(t, "within", l.rounded(-1234.4), -1234, 0)
}

// Hanging still, the cell reads bob and spring, for it was tared without the spring.
func TestLoadCellReadsTheTop(t *testing.T) {
	for _, mass := range []float64{0.0103, 2.4e-5} { // a chain, and one coil without waves
		c := bare(brisk())
		c.Spring.Mass = mass
		c.Hand = Hand{Pull: (c.Bob.Mass) * c.Gravity / c.Spring.Rate} // let go where it hangs
		force := Setup(c).Calibration.Force
		for _, s := range hear(t, c, 2).samples {
			if s.Reading.Has(wire.LoadCounts) {
				got := force.Newtons(s.Reading.Values[wire.LoadCounts]).Value
				near(t, "force [N]", got, (c.Bob.Mass+mass)*c.Gravity, 2e-5)
			}
		}
	}
}

func TestLoadCellNoiseAndDrift(t *testing.T) {
	c := brisk()
	c.Load.Drift, c.Load.DriftTime = 0.05, 80
	force := Setup(c).Calibration.Force
	var off []float64
	for _, s := range hear(t, c, 60).samples {
		if s.Reading.Has(wire.LoadCounts) {
			wander := 0.05 * math.Sin(2*math.Pi*float64(s.At)*1e-9/80)
			off = append(off, force.Newtons(s.Reading.Values[wire.LoadCounts]).Value-s.Force-wander)
		}
	}
	scatters(t, "conversions [N]", off, force.Noise)
}

func TestLoadCellStates(t *testing.T) {
	c := bare(brisk())
	c.Load.Newtons, c.Load.Resolution, c.Load.Span, c.Load.Zero = true, 0.001, 1, 0.05
	h := hear(t, c, 3)
	force := Setup(c).Calibration.Force
	n := 0
	for i := range h.readings {
		if r := &h.readings[i]; r.Has(wire.LoadN) {
			n++
			v := r.Values[wire.LoadN]
			near(t, "rest of a step", v*1000, math.Round(v*1000), 1e-9)
			near(t, "force [N]", force.Newtons(v).Value, c.Bob.Mass*c.Gravity, 5)
		}
	}
	if n < 200 {
		t.Errorf("only %d forces", n)
	}
}

func TestThermometer(t *testing.T) {
	c := brisk()
	c.Air.Warming, c.Thermometer.Period, c.Thermometer.Noise = 0.01, 0.1, 0.05
	c.Thermometer.Humidity = true
	var off []float64
	for _, s := range hear(t, c, 120).samples {
		if s.Reading.Has(wire.AirCentiC) {
			off = append(off, s.Reading.Values[wire.AirCentiC]/100-(20.6+0.1+0.01*float64(s.At)*1e-9))
			near(t, "humidity [%]", s.Reading.Values[wire.AirHumidityPct], 47, 0)
		}
	}
	scatters(t, "temperatures [K]", off, math.Hypot(0.05, 0.01/math.Sqrt(12)))
}
