package trials_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"joulewell/daq"
	"joulewell/daq/frame"
	"joulewell/daq/setup"
	"joulewell/daq/trials"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
)

// coils of the simulated springs: a dozen carry the same waves as forty, but for the
// shortest, at a tenth of the time.
const coils = 12

// session plays one trial after another on a bench and feeds a watcher with the frames.
type session struct {
	t       testing.TB
	rule    trials.Rule
	watcher *trials.Watcher
	deriver *daq.Deriver
	at      int64 // [ns] of the end so far
	frames  []frame.Frame
	events  []trials.Event
	spoil   func(at float64, r *wire.Reading) (sent bool) // changes a reading at its time in the trial [s]
}

// adopt begins anew with what the people at c know.
func (s *session) adopt(b *setup.Bench) {
	s.t.Helper()
	var err error
	if s.watcher, err = trials.NewWatcher(b, s.rule); err != nil {
		s.t.Fatal(err)
	}
	if s.deriver, err = daq.NewDeriver(b); err != nil {
		s.t.Fatal(err)
	}
}

// play lets so many seconds of c follow, and returns the rig that knows the truth, and
// the session's time [ns] of c's beginning.
func (s *session) play(c virtual.Config, length float64) (*virtual.Rig, int64) {
	s.t.Helper()
	device, err := virtual.New(c)
	if err != nil {
		s.t.Fatal(err)
	}
	begun, done := s.at, false
	device.Watch(func(m *virtual.Sample) {
		if done = float64(m.At)*1e-9 >= length; done {
			return
		}
		r := daq.Timed{T: begun + m.At, Epoch: 1, Reading: m.Reading}
		if s.spoil == nil || s.spoil(float64(m.At)*1e-9, &r.Reading) {
			s.feed(s.deriver.Push(&r))
		}
	})
	for !done {
		device.Next()
	}
	s.at = begun + int64(length*1e9)
	rig, err := virtual.NewRig(c)
	if err != nil {
		s.t.Fatal(err)
	}
	return rig, begun
}

func (s *session) feed(frames []frame.Frame) {
	for i := range frames {
		if e := s.watcher.Feed(&frames[i]); e.Kind != trials.Nothing {
			s.events = append(s.events, e)
		}
	}
	s.frames = append(s.frames, frames...)
}

// released returns the releases among the events.
func (s *session) released() (all []trials.Event) {
	for _, e := range s.events {
		if e.Kind == trials.Released {
			all = append(all, e)
		}
	}
	return all
}

// bench draws the bench of a session: one in three is the plain bench Tamar, the others
// are drawn at random.
func bench(seed uint64) virtual.Config {
	c := virtual.Random(seed)
	if seed%3 == 0 {
		c = virtual.Default()
		c.Seed, c.Known.Perturbed = seed, true
	}
	c.Spring.Coils = coils
	return c
}

// swings returns how long [s] so many whole swings take.
func swings(c virtual.Config, n float64) float64 {
	return n * 2 * math.Pi * math.Sqrt((c.Bob.Mass+c.Spring.Mass/3)/c.Spring.Rate)
}

// hands makes the hand of c catch the bob and bring it back after a number of swings.
func hands(c virtual.Config, cycles float64, rng *rand.Rand) virtual.Config {
	c.Hand.Hold = 1 + rng.Float64()
	c.Hand.Carry = 1 + rng.Float64()
	c.Hand.Period = swings(c, cycles) + c.Hand.Hold + c.Hand.Carry + 5
	return c
}

// judged plays one trial of c and judges it; nil where its release was not seen.
func judged(t *testing.T, c virtual.Config) *trials.Trial {
	t.Helper()
	s := session{t: t, rule: trials.Rule{Cycles: 6}}
	b := virtual.Setup(c)
	s.adopt(&b)
	s.play(c, c.Hand.Period)
	released := s.released()
	if len(released) != 1 {
		return nil
	}
	o := trials.Options{Release: float64(released[0].T) * 1e-9}
	end := s.at
	for _, e := range s.events {
		if e.Kind == trials.Over {
			end, o.Over = e.Seen, e.Reason
		}
	}
	k := 0
	for k < len(s.frames) && s.frames[k].T <= end {
		k++
	}
	trial, err := trials.Work(s.frames[:k], &b, o)
	if err != nil {
		t.Fatal(err)
	}
	return trial
}
