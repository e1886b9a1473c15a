package springs

import (
	"math"
	"slices"
	"testing"

	"joulewell/calib/fit"
	"joulewell/calib/masses"
	"joulewell/calib/proof"
)

// By each of three ways 95 % intervals of rate and initial tension must hold the truth
// as often as they say, and the ways must agree as often as they should, on simulated
// benches with lengths read to the millimetre, masses off their statements, gravity,
// rule, natural length and the sensors' calibrations not quite known, and a spring that
// keeps work.
func TestThreeWaysHoldTheTruth(t *testing.T) {
	n := proof.Trials(40)
	var hangRate, hangTension, hangAlone, pullRate, pullTension, swingRate proof.Tally
	agree := 0
	for seed := range uint64(n) {
		b := newBench(seed)
		hung, err := b.hanging().Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		hangRate.Add(t, &hung.Joint, Rate, b.rate)
		hangTension.Add(t, &hung.Joint, Tension, b.tension)
		drawn, err := b.pull().Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		pullRate.Add(t, &drawn.Joint, Rate, b.rate)
		pullTension.Add(t, &drawn.Joint, Tension, b.tension)
		swung, err := b.swings().Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		swingRate.Add(t, &swung.Joint, Rate, b.rate)
		pairs, doubts, err := Compare(hung, &drawn.Result, swung)
		if err != nil || len(pairs) != 3 {
			t.Fatalf("%d pairs, %v", len(pairs), err)
		}
		if len(doubts) == 0 {
			agree++
		}
		// A spring that closes wholly: its own length, by itself, is off the line.
		c := newBench(seed)
		c.tension = 0.7
		alone, err := c.hanging().unloaded(c).Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		hangAlone.Add(t, &alone.Joint, Tension, c.tension)
	}
	hangRate.Check(t, "hanging masses, rate")
	hangTension.Check(t, "hanging masses, tension")
	hangAlone.Check(t, "closed coils left out, tension")
	pullRate.Check(t, "slow pull, rate")
	pullTension.Check(t, "slow pull, tension")
	swingRate.Check(t, "periods, rate")
	t.Logf("three ways agree in %d of %d", agree, n)
	if share := float64(agree) / float64(n); share < 0.95-3*math.Sqrt(0.95*0.05/float64(n)) || n >= 500 && share < 0.95 {
		t.Errorf("the three ways agree in %.1f %%, want 95 %%", 100*share)
	}
}

// Whatever is shared acts on each way as stating it higher by one standard uncertainty
// does, in size and in sign: else it would not cancel from comparisons.
func TestSourcesAreWhatMovingInputsDoes(t *testing.T) {
	b := newBench(8)
	g := func(s *masses.Set) { s.Gravity.Value += s.Gravity.U }
	first := func(s *masses.Set) { s.Pieces = slices.Clone(s.Pieces); s.Pieces[0].Mass.Value += s.Pieces[0].Mass.U }

	h := b.hanging()
	h.Masses.Gravity.U = 0.02
	hang := func(move func(*Hanging)) *fit.Joint {
		moved := h
		move(&moved)
		r, err := moved.Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		return &r.Joint
	}
	before := hang(func(*Hanging) {})
	proof.Moved(t, "gravity", before, hang(func(h *Hanging) { g(&h.Masses) }))
	proof.Moved(t, "mass of no. 1", before, hang(func(h *Hanging) { first(&h.Masses) }))
	proof.Moved(t, springInput, before, hang(func(h *Hanging) { h.SpringMass.Value += h.SpringMass.U }))
	proof.Moved(t, "natural length", before, hang(func(h *Hanging) { h.Natural.Value += h.Natural.U }))
	proof.Moved(t, ruleInput, before, hang(func(h *Hanging) {
		h.Natural.Value *= 1 + h.Rule
		h.Readings = slices.Clone(h.Readings)
		for i := range h.Readings {
			h.Readings[i].Length.Value *= 1 + h.Rule
		}
	}))

	p := b.pull()
	p.Gravity.U = 0.02
	pull := func(move func(*Pull, *Drawn)) *fit.Joint {
		moved := p
		moved.Points = slices.Clone(p.Points)
		for i := range moved.Points {
			move(&moved, &moved.Points[i])
		}
		r, err := moved.Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		return &r.Joint
	}
	before = pull(func(*Pull, *Drawn) {})
	proof.Moved(t, springInput, before, pull(func(m *Pull, _ *Drawn) { m.SpringMass.Value = p.SpringMass.Value + p.SpringMass.U }))
	proof.Moved(t, "natural length", before, pull(func(_ *Pull, d *Drawn) { d.Extension += p.ExtensionZero[0].Effects[0] }))
	proof.Moved(t, "zero of the force", before, pull(func(_ *Pull, d *Drawn) { d.Force += p.ForceZero[0].Effects[0] }))
	proof.Moved(t, "readings of the force calibration", before, pull(func(_ *Pull, d *Drawn) { d.Force *= 1 + p.ForceScale[0].Effects[0] }))
	proof.Moved(t, "gravity", before, pull(func(m *Pull, d *Drawn) {
		m.Gravity.Value = p.Gravity.Value + p.Gravity.U
		d.Force *= 1 + p.ForceScale[1].Effects[0] // of the cell that masses calibrated
	}))
	proof.Moved(t, "readings of the distance calibration", before, pull(func(_ *Pull, d *Drawn) {
		d.Extension += d.Extension*p.ExtensionScale[0].Effects[0] + p.ExtensionZero[2].Effects[0]
	}))

	s := b.swings()
	swing := func(move func(*Swings)) *fit.Joint {
		moved := s
		move(&moved)
		r, err := moved.Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		return &r.Joint
	}
	before = swing(func(*Swings) {})
	proof.Moved(t, "mass of no. 1", before, swing(func(s *Swings) { first(&s.Masses) }))
	proof.Moved(t, springInput, before, swing(func(s *Swings) { s.SpringMass.Value += s.SpringMass.U }))
}
