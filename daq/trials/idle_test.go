package trials_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"joulewell/calib"
	"joulewell/daq"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
)

// idle is a bench at which people are busy and nobody lets go of the bob: a hand has it
// all the time, or it hangs at rest.
type idle struct {
	*rand.Rand
	c      virtual.Config
	b      setup.Bench // as it truly is
	from   float64     // [m] heights of a smooth way of the hand
	to     float64
	begin  float64 // [s] of that way
	span   float64 // [s]
	hidden float64 // [s] until then somebody stands in the beam
	inBeam float64 // [m] distance at which; 0 = here and there
	tapped float64 // [s] when the bench was tapped last
	strong float64 // [N]
}

// height is where the hand has the bob: a way without jerks, as hands move.
func (d *idle) height(t float64) float64 {
	q := min(1, max(0, (t-d.begin)/d.span))
	return d.from + (d.to-d.from)*q*q*q*(10-15*q+6*q*q)
}

// tension is the force at the spring's top while a hand moves the bob.
func (d *idle) tension(t float64) float64 {
	a := &d.b.Apparatus
	x := max(0, a.Extension(d.height(t)))
	f := a.Spring.InitialTension.Value + a.Spring.Rate.Value*x + a.Spring.Mass.Value*a.Gravity.Value/2
	return f + d.strong*math.Exp(-4*(t-d.tapped))*math.Sin(70*(t-d.tapped))
}

// distance is what the ranger says.
func (d *idle) distance(t float64) float64 {
	r := &d.c.Ranger
	if t < d.hidden {
		if d.inBeam > 0 {
			return d.inBeam + 0.01*d.NormFloat64()
		}
		return r.Min + (r.Max-r.Min)*d.Float64()
	}
	h := d.height(t)
	if r.Mounting == calib.Support {
		return r.Position - h - d.c.Bob.Length + r.Noise*d.NormFloat64()
	}
	return h - r.Position + r.Noise*d.NormFloat64()
}

func (d *idle) between(low, high float64) float64 { return low + (high-low)*d.Float64() }

// move begins a way of the hand to a height.
func (d *idle) move(t, to, span float64) {
	d.from, d.to, d.begin, d.span = d.height(t), to, t, span
}

// next lets people do something, and says after how many seconds they do something else.
func (d *idle) next(t float64) float64 {
	a := &d.b.Apparatus
	hanging := a.Height(a.Equilibrium())
	swing := a.Equilibrium() / 2
	somewhere := max(hanging+swing*d.between(-0.7, 0.9), 0.02)
	switch d.IntN(9) {
	case 0: // lowered until it hangs by itself
		d.move(t, hanging, d.between(1, 3))
		return d.between(3, 20)
	case 1, 2: // carried slowly
		d.move(t, somewhere, d.between(1.5, 4))
		return d.between(3, 9)
	case 3: // carried quickly, at half of g at most
		way := math.Abs(somewhere - d.height(t))
		d.move(t, somewhere, max(0.25, math.Sqrt(5.8*way/4.9)))
		return d.between(1, 4)
	case 4: // set right in the hand
		d.move(t, max(0.02, d.height(t)+d.between(-0.03, 0.03)), d.between(0.15, 0.8))
		return d.between(0.6, 2)
	case 5: // set down
		d.move(t, 0, d.between(0.8, 2))
		return d.between(2, 6)
	case 6: // somebody walks past
		d.hidden, d.inBeam = t+d.between(0.3, 2.5), 0
		return d.between(0.2, 3)
	case 7: // and stands there
		d.hidden, d.inBeam = t+d.between(0.5, 4), d.between(d.c.Ranger.Min, d.c.Ranger.Max)
		return d.between(0.2, 5)
	}
	d.tapped, d.strong = t, d.between(0.02, 0.3)*d.c.Bob.Mass*d.c.Gravity // a tap on the bench
	return d.between(0.3, 3)
}

// play lets so many seconds go by.
func (d *idle) play(s *session, length float64) {
	look, weigh, change := 0.0, 0.0, 2.0
	felt := 1 / d.c.Load.Rate / (1 + d.c.Load.RateOffset)
	var seq uint32
	for t := 0.0; t < length; seq++ {
		r := daq.Timed{Epoch: 1, Reading: wire.Reading{Seq: seq}}
		if t = min(look, weigh); t >= change {
			change = t + d.next(t)
		}
		r.T = s.at + int64(t*1e9)
		if look <= weigh {
			look += 1 / d.c.Ranger.Rate
			if x := d.distance(t); x > d.c.Ranger.Min && x < d.c.Ranger.Max && d.Float64() > d.c.Ranger.Lost {
				r.Reading.Set(wire.RangeMm, 1e3*x)
			}
		} else {
			weigh += felt
			f := d.tension(t-2*felt) + d.c.Load.Noise*d.NormFloat64()
			r.Reading.Set(wire.LoadCounts, d.c.Load.Zero+f/d.c.Load.Span)
		}
		if s.spoil == nil || s.spoil(t, &r.Reading) {
			s.feed(s.deriver.Push(&r))
		}
		s.frames = s.frames[:0]
	}
	s.at += int64(length * 1e9)
}

// An hour in which the bob hangs, is held, carried slowly and quickly, set right, set down
// and lifted again, in which people walk past and stand in the beam, and the bench is
// tapped, on four benches: a good one, one drawn at random, one with ten distances a
// second, one without a load cell. No trial begins.
func TestNobodyLetsGo(t *testing.T) {
	minutes := 60.0
	if testing.Short() {
		minutes = 12
	}
	for i := range uint64(4) {
		c := virtual.Default()
		s := session{t: t, rule: trials.Rule{Cycles: 6}}
		switch i {
		case 1:
			c = virtual.Random(104)
		case 2:
			c.Ranger.Rate = 10
		case 3:
			s.spoil = deaf
		}
		c.Known.Perturbed = false
		c.Ranger.Optical, c.Ranger.Scale = true, 1
		d := idle{Rand: rand.New(rand.NewPCG(7, i)), c: c, b: virtual.Setup(c), span: 1, tapped: math.Inf(-1)}
		d.from = d.b.Apparatus.Height(d.b.Apparatus.Equilibrium())
		d.to = d.from
		s.adopt(&d.b)
		d.play(&s, minutes/4*60)
		for _, e := range s.released() {
			t.Errorf("bench %d: a trial began at %.2f s", i, float64(e.T)*1e-9)
		}
	}
}
