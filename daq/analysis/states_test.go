package analysis

import (
	"math"
	"strings"
	"testing"

	"joulewell/calib"
	"joulewell/daq/virtual"
	"joulewell/energy"
	"joulewell/energy/loss"
	"joulewell/energy/motion"
)

// What noise puts on a kinetic energy is taken off, what the window flattens put back: by
// hand, for two answers.
func TestKineticCorrections(t *testing.T) {
	c := virtual.Default()
	b := virtual.Setup(c)
	model, err := energy.NewModel(b.Apparatus, 0)
	if err != nil {
		t.Fatal(err)
	}
	a := &analyser{bench: &b, model: model, channels: &channels{}, run: &Run{}}
	give := func(v, closer float64) answer {
		usual := motion.Answer{
			Position: energy.Estimate{Value: 0.7, U: 1e-4}, Velocity: energy.Estimate{Value: v, U: 0.1},
			Quality: motion.Quality{Degree: smoothDegree, VelocityNoise: 0.1},
		}
		better := usual
		better.Velocity.Value = closer
		return answer{usual: usual, closer: better}
	}
	s := Swing{}
	a.states(&s, []answer{give(1, 1.02), give(-0.5, -0.51), {usual: motion.Answer{Position: energy.None()}}})
	near(t, "flattening", s.Kinetic.Flattening, 0.02, 1e-12)
	moving := b.Apparatus.Bob.Mass.Value + b.Apparatus.Spring.Mass.Value/3
	near(t, "kinetic energy of the first", s.States[0].Energies.Kinetic.Value, moving*(1.02*1.02-0.01)/2, 1e-12)
	near(t, "kinetic energy of the second", s.States[1].Energies.Kinetic.Value, moving*(0.51*0.51-0.01)/2, 1e-12)
	near(t, "noise taken off", s.Kinetic.NoiseBias, moving*0.01/2, 1e-12)
	near(t, "most put back", s.Kinetic.MostPut, moving*(1.02*1.02-1)/2, 1e-12)
	if s.States[2].Known {
		t.Error("a state without an answer")
	}
}

// What all distances share enters every height: the place of the sensor, and its scale by
// the distance.
func TestCommonUncertainties(t *testing.T) {
	b := virtual.Setup(virtual.Default())
	d := &b.Calibration.Distance
	d.Offset = energy.Estimate{Value: 0.1, U: 3e-4}
	d.Scale, d.Delay = energy.Estimate{Value: 1, U: 1e-3}, energy.Estimate{U: 2e-3}
	a := &analyser{bench: &b, channels: &channels{sound: energy.Estimate{Value: 343, U: 343 * 2e-3}}}
	near(t, "relative, a sensor that states distances", a.relative(), 1e-3, 1e-15)
	height, velocity := a.common(energy.Estimate{Value: 0.6, U: 1e-4}, energy.Estimate{Value: -0.5, U: 1e-2})
	near(t, "u of the height", height.U, math.Sqrt(1e-8+9e-8+0.5*0.5*1e-6+1e-6), 1e-12)
	near(t, "u of the velocity", velocity.U, math.Hypot(1e-2, 5e-4), 1e-12)
	a.channels.echoes = true
	near(t, "relative, echoes", a.relative(), math.Hypot(1e-3, 2e-3), 1e-15)
}

// What waves in the coils may keep out of sight widens the totals, and at the release, where
// the coils rest, nothing.
func TestWavesEnterTheTotals(t *testing.T) {
	b := virtual.Setup(virtual.Default())
	b.Apparatus.Spring.Mass.Value = 0.4 * b.Apparatus.Bob.Mass.Value
	a := &analyser{bench: &b}
	s := &Swing{}
	for i, x := range []float64{0.01, 0.19, 0.02} {
		s.Record = append(s.Record, loss.Turning{Extension: energy.Estimate{Value: x}})
		s.Record[i].Index, s.Record[i].Release = i, i == 0
	}
	// Bound of a later turn: 0.0100 r^1.5 of the energy exchanged, (2 + r) k A^2.
	want := 0.0100 * math.Pow(0.4, 1.5) * 2.4 * b.Apparatus.Spring.Rate.Value * 0.09 * 0.09
	near(t, "at a later turn [J]", a.waves(s, loss.Place(s.Record, 2)), want, 1e-12)
	near(t, "at the release [J]", a.waves(s, loss.Place(s.Record, 0)), 0, 0)
	e := waving(energy.Energies{Elastic: energy.Estimate{U: 2}, Total: energy.Estimate{U: 3}}, 4*math.Sqrt(3))
	near(t, "u of the total [J]", e.Total.U, 5, 1e-12)
	near(t, "u of the elastic part [J]", e.Elastic.U, 2, 0)

	c := virtual.Quiet(200)
	c.Hand.Period, c.Spring.Coils, c.Spring.Mass = 0, coils, 0.4*c.Bob.Mass
	c.Support += 0.1
	r, known, _ := record(t, c, 6)
	run, err := Analyse(r, known, Options{})
	if err != nil {
		t.Fatal(err)
	}
	turn := &run.Swings[0].Turns[3]
	if least := want / math.Sqrt(3); turn.Energies.Total.U < least || run.Swings[0].States[40].Energies.Total.U < 4.1*least {
		t.Errorf("u of the total at turn 3 is %.3g J, at state 40 %.3g J, at least %.3g and 4.1 times that wanted", turn.Energies.Total.U, run.Swings[0].States[40].Energies.Total.U, least)
	}
}

// Between two states the extension follows the cubic through both places and velocities.
func TestExtensionBetweenStates(t *testing.T) {
	path := func(t float64) (x, v float64) { return 0.1 + t*(0.3+t*(-2+5*t)), 0.3 + t*(-4+15*t) }
	s := Swing{}
	for i := range 4 {
		at := 0.1 * float64(i)
		x, v := path(at)
		s.moving = append(s.moving, loss.Sample{T: at, Extension: energy.Estimate{Value: x}, Velocity: energy.Estimate{Value: v}})
	}
	s.moving[3].Extension = energy.None()
	for _, at := range []float64{0.1, 0.13, 0.19, 0.2} {
		x, ok := s.extension(1, at)
		want, _ := path(at)
		if near(t, "extension [m]", x, want, 1e-12); !ok {
			t.Errorf("none at %g s", at)
		}
	}
	if _, ok := s.extension(2, 0.25); ok {
		t.Error("an extension at the edge of a silence")
	}
	if _, ok := s.extension(1, 0.25); ok {
		t.Error("an extension outside of its states")
	}
}

// A ranger that hangs is silent, and no hold.
func TestStuckRangerIsSilent(t *testing.T) {
	c := virtual.Default()
	c.Seed, c.Hand.Period, c.Spring.Coils = 2, 0, coils
	var err error
	if c.Faults, err = virtual.ParseFaults([]string{"stuck-range=1@5.2"}); err != nil {
		t.Fatal(err)
	}
	r, b, _ := record(t, c, 12)
	run, err := Analyse(r, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if text := strings.Join(run.Notes, "; "); !strings.Contains(text, "the ranger repeats one value from 5.") {
		t.Errorf("notes %q", text)
	}
	if len(run.Swings) != 1 || len(run.Swings[0].Found.Lost) != 1 {
		t.Errorf("%d swings; in the first, lost %+v", len(run.Swings), run.Swings[0].Found.Lost)
	}
	// A sensor whose step is as large as its noise repeats values at rest.
	coarse := motion.Series{}
	for i := range 100 {
		coarse.Times, coarse.Values = append(coarse.Times, int64(i)*2e7), append(coarse.Values, 0.5+0.001*float64(i/50))
	}
	if notes := unstick(&coarse, 1e-3); len(notes) > 0 || len(coarse.Values) != 100 {
		t.Errorf("%q, %d points left of 100", notes, len(coarse.Values))
	}
}

// The books end on the side on which they begin, and their rows tile them.
func TestBooksEndOnTheirSide(t *testing.T) {
	for _, seconds := range []float64{9, 9.32} {
		c := virtual.Quiet(100)
		c.Hand.Period, c.Spring.Coils = 0, coils
		r, b, _ := record(t, c, seconds)
		run, err := Analyse(r, b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		s := &run.Swings[0]
		end := loss.LastAlike(s.Record)
		if s.Record[end].Side != s.Record[0].Side || s.Whole.To != s.Record[end].T.Value || end < len(s.Record)-2 {
			t.Errorf("books from side %d to side %d, turning point %d of %d", s.Record[0].Side, s.Record[end].Side, end, len(s.Record))
		}
		var lost float64
		for i := range s.Rows {
			lost -= s.Rows[i].Change.Value
			if i > 0 && s.Rows[i].From != s.Rows[i-1].To {
				t.Errorf("row %d begins at %g s, the one before ends at %g s", i, s.Rows[i].From, s.Rows[i-1].To)
			}
		}
		near(t, "loss of all rows [J]", lost, -s.Whole.Change.Value, 1e-9)
	}
}

// What the sensor does not know of its place and scale enters the books.
func TestSensorEntersTheBooks(t *testing.T) {
	c := virtual.Quiet(100)
	c.Hand.Period, c.Spring.Coils = 0, coils
	share := func(u float64, input string, spoil func(*calib.Distance)) {
		r, b, _ := record(t, c, 9)
		spoil(&b.Calibration.Distance)
		run, err := Analyse(r, b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		w := run.Swings[0].Whole
		for _, k := range w.Budget {
			if k.Input == input {
				near(t, input+" over its wanted part", k.U/u, w.Lost.Value, 0.15*w.Lost.Value)
				return
			}
		}
		t.Errorf("no %s in %+v", input, w.Budget)
	}
	// Energy goes as the square of the scale.
	share(2*0.02, "scale of the extension", func(d *calib.Distance) { d.Scale.U = 0.02 })
	// Work of the net force that an offset of 10 mm feigns, k (x - x') times offset, over
	// the loss, k A (x - x'): the mean amplitude is 90 mm.
	share(0.01/0.09, "offset of the extension", func(d *calib.Distance) { d.Offset.U = 0.01 })
}
