package springs

import (
	"math"
	"strings"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/proof"
	"joulewell/energy"
)

// The work that the simulated spring keeps is that of its two branches, in closed form:
// 2 keeps times the integral of 2 w (1 - w) over the way.
func TestLoopOfASlowPull(t *testing.T) {
	var inside proof.Tally
	for seed := range uint64(25) {
		b := newBench(seed)
		d, err := b.pull().Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		want := 2 * b.keeps * 2 / 6 * 0.15
		inside.Count(math.Abs(d.Loop.Value-want) <= 2*d.Loop.U)
		if d.Loop.U > want/4 {
			t.Errorf("loop %+v J beside %g J", d.Loop, want)
		}
	}
	inside.Check(t, "loop")
}

// The curve is that of the spring, rises throughout, and makes a law that energy takes.
func TestLawOfASlowPull(t *testing.T) {
	b := newBench(5)
	p := b.pull()
	d, err := p.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	if n := len(d.Law.Extension); n < 15 {
		t.Fatalf("%d points", n)
	}
	for i, x := range d.Law.Extension {
		line := d.Values[Tension] + d.Values[Rate]*x - b.spring.Value*b.known.Gravity.Value/2
		proof.Near(t, "load", d.Law.Load[i], line, 5*d.Law.U[i])
		if i > 0 && (d.Law.Load[i] <= d.Law.Load[i-1] || x <= d.Law.Extension[i-1]) {
			t.Errorf("point %d does not rise", i)
		}
	}
	spring := energy.Spring{Mass: b.spring, Rate: d.Estimate(Rate), InitialTension: d.Estimate(Tension)}
	if spring.Departure, err = energy.NewDeparture(&spring, b.known.Gravity.Value, d.Law.Extension, d.Law.Load); err != nil {
		t.Fatal(err)
	}
	for i, f := range spring.Departure.Force {
		proof.Near(t, "departure", f, 0, 5*d.Law.U[i])
	}
	if s := d.Summary(); !strings.Contains(s, "slow pull") || !strings.Contains(s, "kept") {
		t.Errorf("summary: %s", s)
	}
}

// A spring that was tared on the cell gives the same law.
func TestSpringTared(t *testing.T) {
	b := newBench(5)
	p := b.pull()
	want, err := p.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Points {
		p.Points[i].Force -= p.SpringMass.Value * p.Gravity.Value
	}
	p.SpringTared = true
	got, err := p.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "rate", got.Values[Rate], want.Values[Rate], 1e-6)
	proof.Near(t, "initial tension", got.Values[Tension], want.Values[Tension], 1e-5)
}

// A spring that hardens throughout has no straight part; one with coils closed at first
// has one farther out.
func TestBentPulls(t *testing.T) {
	b := newBench(7)
	p := b.pull()
	for i := range p.Points {
		x := p.Points[i].Extension
		p.Points[i].Force += 20 * x * x
	}
	d, err := p.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	if !d.Doubts.Has(doubt.Bent) || d.Probability > 1e-3 {
		t.Errorf("hardening spring: probability %g, doubts %v", d.Probability, d.Doubts)
	}
	p = b.pull()
	for i := range p.Points {
		if x := p.Points[i].Extension; x < 0.055 {
			p.Points[i].Force -= 40 * (0.055 - x) * (0.055 - x) / 0.055
		}
	}
	if d, err = p.Calibrate(); err != nil || !d.Doubts.Has(doubt.Opening) || d.Doubts.Has(doubt.Bent) {
		t.Fatalf("coils closed at first: doubts %v, %v", d.Doubts, err)
	}
	proof.Near(t, "rate of the straight part", d.Values[Rate], 25, 4*d.U(Rate))
}

func TestPullDoubts(t *testing.T) {
	work := func(j Pull) (doubt.Notes, error) {
		r, err := j.Calibrate()
		if err != nil {
			return nil, err
		}
		return r.Doubts, nil
	}
	proof.Doubts(t, func() Pull { return newBench(2).pull() }, work,
		proof.Suspect("not let back", doubt.NoReturn, func(p *Pull) { p.Points = p.Points[:400] }),
		proof.Suspect("short way", doubt.Narrow, func(p *Pull) { p.Points = p.Points[:100] }),
		proof.Suspect("spring's weight off", doubt.Length, func(p *Pull) {
			for i := range p.Points {
				p.Points[i].Force -= 0.6
			}
		}),
	)
}

func TestPullRefuses(t *testing.T) {
	work := func(j Pull) error {
		_, err := j.Calibrate()
		return err
	}
	proof.Refusals(t, func() Pull { return newBench(1).pull() }, work,
		proof.Refuse("few", "at least 60", doubt.ErrFew, func(p *Pull) { p.Points = p.Points[:50] }),
		proof.Refuse("not a number", "point 8", doubt.ErrNumber, func(p *Pull) { p.Points[7].Force = math.Inf(1) }),
		proof.Refuse("millimetres", "10 m", doubt.ErrUnit, func(p *Pull) { p.Points[7].Extension *= 1000 }),
		proof.Refuse("held still", "without stopping", doubt.ErrUnsteady, func(p *Pull) {
			for i := range p.Points {
				p.Points[i].Extension = 0.1
			}
		}),
		proof.Refuse("hardly moved", "drawn over", doubt.ErrFew, func(p *Pull) { p.Points = p.Points[:60]; shrink(p, 0.1) }),
		proof.Refuse("sign of the cell", "sign of the load cell", doubt.ErrContradict, func(p *Pull) {
			for i := range p.Points {
				p.Points[i].Force *= -1
			}
		}),
		proof.Refuse("grams", "spring mass", doubt.ErrUnit, func(p *Pull) { p.SpringMass.Value = 60 }),
	)
}

func shrink(p *Pull, by float64) {
	for i := range p.Points {
		p.Points[i].Extension *= by
	}
}

// Falling neighbours are pooled to their mean (isotonic regression, worked by hand).
func TestRising(t *testing.T) {
	l := Law{Extension: []float64{1, 2, 3, 4, 5}, Load: []float64{1, 4, 3, 2, 6}, U: []float64{1, 1, 1, 1, 1}}.rising()
	want := Law{Extension: []float64{1, 3, 5}, Load: []float64{1, 3, 6}, U: []float64{1, 1 / math.Sqrt(3), 1}}
	if len(l.Load) != len(want.Load) {
		t.Fatalf("%+v", l)
	}
	for i := range want.Load {
		proof.Near(t, "extension", l.Extension[i], want.Extension[i], 1e-12)
		proof.Near(t, "load", l.Load[i], want.Load[i], 1e-12)
		proof.Near(t, "u", l.U[i], want.U[i], 1e-12)
	}
}
