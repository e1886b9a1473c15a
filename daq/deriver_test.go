package daq

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"joulewell/calib"
	"joulewell/calib/air"
	"joulewell/daq/frame"
	"joulewell/daq/runfile"
	"joulewell/daq/setup"
	"joulewell/daq/wire"
	"joulewell/energy"
)

// known is an estimate without uncertainty.
func known(v float64) energy.Estimate { return energy.Estimate{Value: v} }

// bench is a plain bench with a ranging sensor on the floor.
func bench() *setup.Bench {
	return &setup.Bench{
		Name: "Tamar",
		Apparatus: energy.Apparatus{
			Spring:  energy.Spring{Mass: known(0.01), NaturalLength: known(0.12), Rate: known(25)},
			Bob:     energy.Bob{Mass: known(0.25), Length: known(0.06)},
			Support: known(1), Gravity: known(9.8123),
		},
		Calibration: calib.Calibration{
			Distance: calib.Distance{Mounting: calib.Floor, Scale: known(1), Noise: 0.0005, Max: 4},
			Force:    calib.Force{Zero: known(-1000), Span: known(1e-5), Noise: 0.002, Delay: known(0.025)},
			Air:      calib.Air{Temperature: known(20)},
		},
		Motion: setup.Motion{Lag: 60 * time.Millisecond, Degree: 3},
	}
}

// swing is a motion with known position, velocity and force, none of which the
// pipeline may guess from the spring.
type swing struct{ middle, amplitude, omega float64 }

func (s swing) height(t float64) float64   { return s.middle + s.amplitude*math.Sin(s.omega*t) }
func (s swing) velocity(t float64) float64 { return s.amplitude * s.omega * math.Cos(s.omega*t) }
func (s swing) force(t float64) float64    { return 2.5 - 2*math.Sin(s.omega*t) }

// readings of s: optical ranges at 100/s and, 25 ms late, load conversions at 80/s.
func (s swing) readings(seconds float64, noise float64, seed uint64) []Timed {
	rng := rand.New(rand.NewPCG(seed, 0))
	var all []Timed
	next := [2]float64{0, 0.0031}
	for n := uint32(0); ; n++ {
		i := 0
		if next[1] < next[0] {
			i = 1
		}
		t := next[i]
		if t > seconds {
			return all
		}
		r := Timed{T: int64(math.Round(t * 1e9)), Epoch: 1}
		r.Reading.Seq = n
		if i == 0 {
			r.Reading.Set(wire.RangeMm, 1e3*(s.height(t)+noise*rng.NormFloat64()))
			next[0] += 0.01
		} else {
			r.Reading.Set(wire.LoadCounts, math.Round(s.force(t-0.025)/1e-5-1000))
			next[1] += 0.0125
		}
		all = append(all, r)
	}
}

func derive(t testing.TB, b *setup.Bench, readings []Timed) []frame.Frame {
	t.Helper()
	d, err := NewDeriver(b)
	if err != nil {
		t.Fatal(err)
	}
	var frames []frame.Frame
	for i := range readings {
		frames = append(frames, d.Push(&readings[i])...)
	}
	return append(frames, d.Flush()...)
}

func TestFramesFollowAKnownMotion(t *testing.T) {
	s := swing{middle: 0.6, amplitude: 0.1, omega: 2 * math.Pi * 1.3}
	readings := s.readings(6, 0.0003, 1)
	frames := derive(t, bench(), readings)
	if len(frames) != len(readings) {
		t.Fatalf("%d frames for %d readings", len(frames), len(readings))
	}
	model, err := energy.NewModel(bench().Apparatus, 0)
	if err != nil {
		t.Fatal(err)
	}
	var worst struct{ height, velocity, force, total float64 }
	for i := range frames {
		f := &frames[i]
		if f.T != readings[i].T || f.Reading != readings[i].Reading {
			t.Fatalf("frame %d is of another reading", i)
		}
		at := f.Seconds()
		if at < 0.5 || at > 5.5 {
			continue
		}
		truth := model.At(energy.State{Height: known(s.height(at)), Velocity: known(s.velocity(at))})
		worst.height = max(worst.height, math.Abs(f.Height.Value-s.height(at)))
		worst.velocity = max(worst.velocity, math.Abs(f.Velocity.Value-s.velocity(at)))
		worst.force = max(worst.force, math.Abs(f.Force.Value-s.force(at)))
		worst.total = max(worst.total, math.Abs(f.Energies.Total.Value-truth.Total.Value))
		if x := 1 - 0.06 - 0.12 - f.Height.Value; math.Abs(f.Extension.Value-x) > 1e-12 {
			t.Fatalf("extension %g at height %g", f.Extension.Value, f.Height.Value)
		}
	}
	// 0.3 mm of noise through a cubic over 13 points: well below these, while a
	// mistaken lag of one reading, 10 ms, is 8 mm, 65 mm/s and 0.16 N.
	if worst.height > 0.0015 || worst.velocity > 0.04 || worst.force > 0.005 || worst.total > 0.02 {
		t.Errorf("largest deviations: %+v", worst)
	}
}

func TestFramesTrailByTheLag(t *testing.T) {
	s := swing{middle: 0.6, amplitude: 0.1, omega: 8}
	readings := s.readings(1, 0, 1)
	d, err := NewDeriver(bench())
	if err != nil {
		t.Fatal(err)
	}
	if d.Lag() != 60e6 {
		t.Fatalf("lag = %d ns", d.Lag())
	}
	for i := range readings {
		for _, f := range d.Push(&readings[i]) {
			if late := readings[i].T - f.T; late < 60e6 || late >= 60e6+10e6 {
				t.Errorf("frame of %d ns came out %d ns late", f.T, late)
			}
		}
	}
}

// A deriver that has run for long and one that has seen the last two seconds only
// give the same bits: this is what lets a run begin anywhere.
func TestOnlyTheLastMomentsMatter(t *testing.T) {
	s := swing{middle: 0.6, amplitude: 0.1, omega: 8}
	readings := s.readings(8, 0.001, 7)
	for i := range readings { // outliers, too
		if i%37 == 5 && readings[i].Reading.Has(wire.RangeMm) {
			readings[i].Reading.Set(wire.RangeMm, 300)
		}
	}
	var from int
	for readings[from].T < 5e9 {
		from++
	}
	long, short := derive(t, bench(), readings), derive(t, bench(), readings[from:])
	compared := 0
	for i := range short {
		if short[i].T < 7e9 {
			continue
		}
		compared++
		a, b := runfile.AppendRow(nil, &long[from+i]), runfile.AppendRow(nil, &short[i])
		if string(a) != string(b) {
			t.Fatalf("row differs:\n%s%s", a, b)
		}
	}
	if compared < 100 {
		t.Fatalf("only %d rows compared", compared)
	}
}

func TestNewEpochStartsAfresh(t *testing.T) {
	s := swing{middle: 0.6, amplitude: 0.1, omega: 8}
	readings := s.readings(2, 0, 1)
	half := len(readings) / 2
	for i := half; i < len(readings); i++ {
		readings[i].Epoch = 2
		if readings[i].Reading.Has(wire.RangeMm) { // the sensor was moved meanwhile
			readings[i].Reading.Set(wire.RangeMm, readings[i].Reading.Values[wire.RangeMm]+200)
		}
	}
	for i, f := range derive(t, bench(), readings) {
		if got, want := f.Flags&frame.NewEpoch != 0, i == half; got != want {
			t.Errorf("row %d: new-epoch = %t", i, got)
		}
		want := s.height(f.Seconds())
		if i >= half {
			want += 0.2
		}
		if f.Height.Known() && math.Abs(f.Height.Value-want) > 0.002 {
			t.Errorf("row %d: height %g mixes two epochs, want %g", i, f.Height.Value, want)
		}
	}
}

// Across a restart nothing is carried over, not even where the motion goes on as before.
func TestNothingIsCarriedOverARestart(t *testing.T) {
	s := swing{middle: 0.6, amplitude: 0.1, omega: 8}
	readings := s.readings(2, 0, 1)
	half := len(readings) / 2
	for i := half; i < len(readings); i++ {
		r := &readings[i]
		r.Epoch = 2
		if r.Reading.Has(wire.LoadCounts) { // a newton more from here on
			r.Reading.Set(wire.LoadCounts, r.Reading.Values[wire.LoadCounts]+1e5)
		}
	}
	frames := derive(t, bench(), readings)
	if f := &frames[half]; f.Height.Known() || f.Flags&frame.NoMotion == 0 {
		t.Errorf("the first frame after a restart has height %v", f.Height)
	}
	for i, f := range frames {
		want := s.force(f.Seconds())
		if i >= half {
			want++
		}
		if f.Force.Known() && math.Abs(f.Force.Value-want) > 0.01 {
			t.Errorf("row %d: force %g mixes two epochs, want %g", i, f.Force.Value, want)
		}
	}
	if f := &frames[half+40]; !f.Height.Known() || !f.Force.Known() {
		t.Errorf("a while after a restart: height %v, force %v", f.Height, f.Force)
	}
}

// A ranging sensor that is late by its stated delay gives the same heights.
func TestDelayOfTheDistanceIsTakenOff(t *testing.T) {
	s := swing{middle: 0.6, amplitude: 0.1, omega: 8}
	readings := s.readings(3, 0, 1)
	const delay = 0.012
	for i := range readings {
		if r := &readings[i]; r.Reading.Has(wire.RangeMm) {
			r.Reading.Set(wire.RangeMm, 1e3*s.height(float64(r.T)/1e9-delay))
		}
	}
	b := bench()
	b.Calibration.Distance.Delay = known(delay)
	compared := 0
	for _, f := range derive(t, b, readings) {
		if at := f.Seconds(); at > 0.5 && at < 2.5 {
			compared++
			if math.Abs(f.Height.Value-s.height(at)) > 0.0005 { // uncorrected it is up to 9.6 mm off
				t.Fatalf("height at %g s = %g, want %g", at, f.Height.Value, s.height(at))
			}
		}
	}
	if compared < 300 {
		t.Errorf("only %d frames compared", compared)
	}
}

func TestWhatTheSensorCannotSeeIsAbsent(t *testing.T) {
	b := bench()
	b.Calibration.Distance.Min, b.Calibration.Distance.Max = 0.1, 2
	for _, c := range []struct {
		name string
		mm   float64
		want frame.Flags
	}{{"no echo", 0, frame.NoEcho}, {"nothing heard", 0, frame.NoEcho}, {"too near", 50, frame.OutOfRange}, {"too far", 2500, frame.OutOfRange}} {
		t.Run(c.name, func(t *testing.T) {
			var readings []Timed
			for i := range 50 {
				r := Timed{T: int64(i) * 1e7, Epoch: 1}
				if c.name != "nothing heard" {
					r.Reading.Set(wire.RangeMm, c.mm)
				}
				readings = append(readings, r)
			}
			for _, f := range derive(t, b, readings) {
				if f.Flags&c.want == 0 || f.Flags&frame.NoMotion == 0 || f.Distance.Known() || f.Energies.Total.Known() {
					t.Fatalf("frame = %+v, want %q and nothing derived", f, c.want.Words(nil))
				}
			}
		})
	}
}

// A thermometer and hygrometer on the bench set the speed of sound, by Cramer's equation,
// which is held against published values where it stands, and what is not reported stays.
func TestThermometerSetsTheSpeedOfSound(t *testing.T) {
	var readings []Timed
	for i := range 150 {
		r := Timed{T: int64(i) * 25e6, Epoch: 1}
		r.Reading.Set(wire.EchoUs, 3000)
		switch i {
		case 50:
			r.Reading.Set(wire.AirCentiC, 3000)
		case 100:
			r.Reading.Set(wire.AirHumidityPct, 90)
		}
		readings = append(readings, r)
	}
	frames := derive(t, bench(), readings)
	speed := func(celsius, humidity float64) float64 {
		c, err := (air.State{Temperature: energy.Estimate{Value: celsius}, Humidity: energy.Estimate{Value: humidity}}).Speed()
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	for i, want := range map[int]float64{10: speed(20, 0), 90: speed(30, 0), 140: speed(30, 0.9)} { // 0 = not known
		if got := frames[i].Distance.Value; math.Abs(got-want*0.0015) > 1e-9 {
			t.Errorf("distance of row %d = %.9f, want %.9f", i, got, want*0.0015)
		}
	}
	if d, w := speed(30, 0.9)-speed(20, 0), frames[10].Distance.U-frames[140].Distance.U; d < 6 || w <= 0 {
		t.Errorf("speeds differ by %g m/s, uncertainties by %g m: knowing the humidity must help", d, w)
	}
}

func TestDeriverAllocatesNothing(t *testing.T) {
	readings := swing{middle: 0.6, amplitude: 0.1, omega: 8}.readings(5, 0.001, 1)
	d, err := NewDeriver(bench())
	if err != nil {
		t.Fatal(err)
	}
	i, lap := 0, int64(0)
	push := func() {
		r := readings[i]
		r.T += lap
		d.Push(&r)
		if i++; i == len(readings) {
			i, lap = 0, lap+readings[len(readings)-1].T+1e7
		}
	}
	for range 2 * len(readings) {
		push()
	}
	if n := testing.AllocsPerRun(2000, push); n != 0 {
		t.Errorf("%g allocations per reading", n)
	}
}

func TestDeriverRefusesAnImpossibleBench(t *testing.T) {
	b := bench()
	b.Apparatus.Bob.Mass.Value = -1
	if _, err := NewDeriver(b); err == nil {
		t.Error("a negative mass was taken")
	}
	b = bench()
	b.Motion.Lag = time.Second
	if _, err := NewDeriver(b); err == nil {
		t.Error("a lag of a second was taken")
	}
}
