package analysis

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/daq/frame"
	"joulewell/daq/virtual"
	"joulewell/daq/wire"
	"joulewell/energy/loss"
)

// Several releases in a run are several swings: what the hand does between them is left out.
func TestEveryReleaseIsASwing(t *testing.T) {
	for _, c := range []virtual.Config{virtual.Default(), virtual.Quiet(200)} {
		t.Run(c.Name, func(t *testing.T) { everyRelease(t, c) })
	}
}

func everyRelease(t *testing.T, c virtual.Config) {
	c.Seed, c.Spring.Coils = 4, coils
	r, b, rig := record(t, c, 70)
	run, err := Analyse(r, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(run.Swings) != 3 {
		t.Fatalf("%d swings, want 3", len(run.Swings))
	}
	for i := range run.Swings {
		s := &run.Swings[i]
		release := float64(i)*c.Hand.Period + c.Hand.Hold
		if !s.Record[0].Release {
			t.Errorf("swing %d: no release", i)
		}
		if s.HeldTo > release || s.HeldFrom < release-1.3 || math.Abs(s.Record[0].T.Value-release) > 2*s.Record[0].T.U {
			t.Errorf("swing %d: held from %.3f to %.3f s, let go at %.3f s, u %.3f; truly at %.3f s", i, s.HeldFrom, s.HeldTo, s.Record[0].T.Value, s.Record[0].T.U, release)
		}
		for _, p := range s.Record[1:] {
			if rig.At(nanoseconds(p.T.Value)).Held {
				t.Errorf("swing %d: a turning point at %.3f s, in the hand", i, p.T.Value)
			}
		}
		near(t, "place of the release [m]", s.Record[0].Extension.Value, rig.At(nanoseconds(s.HeldTo)).Extension, 4*s.Turns[0].Height.U)
		near(t, "period [s]", s.Period.Value, run.Swings[0].Period.Value, 5*s.Period.U+5*run.Swings[0].Period.U)
	}
	if a := &run.Swings[0]; len(a.Rows) < 30 || a.CyclesPerRow != 1 {
		t.Errorf("%d rows of %d cycles in the first swing", len(a.Rows), a.CyclesPerRow)
	}
}

// The energies between the turns hold the truth too, with the corrections of the kinetic
// energy in them.
func TestEnergiesBetweenTheTurns(t *testing.T) {
	c := virtual.Default()
	c.Seed, c.Hand.Period, c.Spring.Coils = 9, 0, coils
	r, b, rig := record(t, c, 20)
	run, err := Analyse(r, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := &run.Swings[0]
	var kinetic tally
	var bias, most float64
	for i := range s.States {
		n := &s.States[i]
		if !n.Known || n.T < s.From+0.2 || n.T > s.To-0.2 {
			continue
		}
		truth := rig.At(nanoseconds(n.T))
		effective := (c.Bob.Mass + c.Spring.Mass/3) * truth.Velocity * truth.Velocity / 2
		kinetic.add(n.Energies.Kinetic.Value, n.Energies.Kinetic.U, effective)
		bias += n.Energies.Kinetic.Value - effective
		most = max(most, effective)
	}
	bias /= float64(kinetic.n)
	t.Logf("kinetic: %.3f of %d inside, rms %.2f u, mean off by %.3g J of %.3g J; %+v", kinetic.share(), kinetic.n, kinetic.rms(), bias, most, s.Kinetic)
	if kinetic.share() < 0.9 || math.Abs(bias) > 0.002*most {
		t.Errorf("kinetic energies: %.3f inside 95 %% intervals, mean off by %.3g J of %.3g J", kinetic.share(), bias, most)
	}
	if s.Kinetic.Flattening < 0.002 || s.Kinetic.MostPut < 2*math.Abs(bias) {
		t.Errorf("put back %+v: this window must flatten more than is left over", s.Kinetic)
	}
}

// A silence in a swing does not end it: turning points lost in it are counted.
func TestSilenceInASwing(t *testing.T) {
	c := virtual.Quiet(100)
	c.Hand.Period, c.Spring.Coils = 0, coils
	r, b, _ := record(t, c, 12)
	var kept []frame.Frame
	for _, f := range r.frames {
		if f.T < 5e9 || f.T > 6.3e9 {
			kept = append(kept, f)
		}
	}
	run, err := Analyse(&rows{frames: kept}, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := &run.Swings[0]
	if len(run.Swings) != 1 || len(s.Found.Lost) != 1 || s.Found.Lost[0].Count < 3 || s.Record[len(s.Record)-1].T.Value < 11 {
		t.Fatalf("%d swings, lost %+v, record ends at %.2f s", len(run.Swings), s.Found.Lost, s.Record[len(s.Record)-1].T.Value)
	}
	if text := strings.Join(s.Notes, "; "); !strings.Contains(text, "turning points lost in a silence from 4.99 s to 6.3") {
		t.Errorf("notes %q", text)
	}
	for i := range s.States {
		if n := &s.States[i]; n.Known && n.T > 5.15 && n.T < 6.15 {
			t.Errorf("a state at %.3f s, in the silence", n.T)
		}
	}
}

// A run that begins in mid-swing has no release; its books begin at the first turning point.
func TestNoReleaseSeen(t *testing.T) {
	c := virtual.Quiet(100)
	c.Hand.Period, c.Spring.Coils = 0, coils
	r, b, _ := record(t, c, 12)
	for len(r.frames) > 0 && r.frames[0].T < 3.1e9 {
		r.frames = r.frames[1:]
	}
	run, err := Analyse(r, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if s := &run.Swings[0]; s.Record[0].Release || s.HeldFrom != s.HeldTo || len(s.Record) < 20 {
		t.Errorf("release %t, held %g to %g s, %d turning points", s.Record[0].Release, s.HeldFrom, s.HeldTo, len(s.Record))
	}
}

// A slow converter is named, whatever else can be told is told.
func TestSlowConverter(t *testing.T) {
	c := virtual.Default()
	c.Hand.Period, c.Load.Rate, c.Spring.Coils = 0, 10, coils
	r, b, _ := record(t, c, 15)
	run, err := Analyse(r, b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(append(run.Swings[0].Notes, run.Swings[0].Whole.Notes...), "; ")
	if !strings.Contains(text, "the force converter is too slow: 10 readings a second") {
		t.Errorf("notes %q", text)
	}
}

// Air drag by the bob's size is bounded where the size is known.
func TestDragIsBounded(t *testing.T) {
	c := virtual.Quiet(100)
	c.Hand.Period, c.Spring.Coils = 0, coils
	r, b, _ := record(t, c, 10)
	run, err := Analyse(r, b, Options{Drag: &loss.Drag{Area: 7e-4, Coefficient: loss.Sphere(), Air: loss.RoomAir()}})
	if err != nil {
		t.Fatal(err)
	}
	if air := run.Swings[0].Whole.Air; air == nil || !(air.Low > 0 && air.High > air.Low) {
		t.Errorf("air drag %+v", air)
	}
}

// Echoes hold for the instant at which the sound met the bob.
func TestEchoesStandWhereTheSoundMetTheBob(t *testing.T) {
	c := virtual.Setup(virtual.Default()).Calibration
	c.Distance.Delay.Value = 0.002
	var f frame.Frame
	f.T, f.Epoch = 1e9, 1
	f.Reading.Set(wire.EchoUs, 4000)
	f.Reading.Set(wire.LoadCounts, -100000)
	g := f
	g.T, g.Epoch = 2e9, 2
	ch, err := read(&rows{frames: []frame.Frame{f, f, g}}, &c)
	if err != nil {
		t.Fatal(err)
	}
	if len(ch.epochs) != 2 || ch.counts.Misplaced != 2 || ch.counts.Distances != 2 {
		t.Fatalf("%d epochs, counts %+v", len(ch.epochs), ch.counts)
	}
	if got := ch.epochs[0].heights.Times[0]; got != 1e9+2e6-2e6 {
		t.Errorf("distance placed at %d ns", got)
	}
	if got, want := ch.epochs[0].forces.Times[0], int64(1e9)-nanoseconds(c.Force.Delay.Value); got != want {
		t.Errorf("force placed at %d ns, want %d", got, want)
	}
}

// A rest is no turning point, however slow the swing.
func TestSlowSwingIsNoRest(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var e epoch
	for i := range 1200 {
		at := float64(i) / 40
		e.heights.Times = append(e.heights.Times, nanoseconds(at))
		e.heights.Values = append(e.heights.Values, 1+0.03*math.Cos(2*at)+5e-4*rng.NormFloat64())
	}
	if rests := stays(e.heights, 5e-4); len(rests) != 0 {
		t.Errorf("rests %+v in a swing of 3 s", rests)
	}
	for i := range 80 {
		e.heights.Values[400+i] = 1.2 + 5e-4*rng.NormFloat64()
	}
	rests := stays(e.heights, 5e-4)
	if len(rests) != 1 || rests[0].from > 404 || rests[0].to < 475 {
		t.Errorf("rests %+v, want one from 400 to 479", rests)
	}
}

// A row that cannot be read ends it.
type broken struct{}

var errBroken = errors.New("line 3: broken")

func (broken) Next(*frame.Frame) error { return errBroken }

func TestUnreadableRowIsReported(t *testing.T) {
	b := virtual.Setup(virtual.Default())
	if _, err := Analyse(broken{}, &b, Options{}); !errors.Is(err, errBroken) {
		t.Errorf("error %v", err)
	}
}

// A hand that stops the bob and takes it back a little makes a turn of its own, which is
// none of the swing's.
func TestTurnMadeByTheHand(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	c := virtual.Quiet(200)
	b := virtual.Setup(c)
	r := &rows{}
	const caught = 9.77 // on the way up
	swing := func(t float64) float64 { return 0.69 + 0.09*math.Cos(9.956*(t-1)) }
	height := func(t float64) float64 {
		switch {
		case t < 1:
			return swing(1)
		case t < caught:
			return swing(t)
		}
		return swing(caught) + 0.04*math.Sin(math.Min(14*(t-caught), 0.75*2*math.Pi))
	}
	for i := range 13 * 200 {
		f := frame.Frame{T: int64(i) * 5e6, Epoch: 1}
		f.Reading.Set(wire.RangeMm, 1e3*(height(seconds(f.T))-b.Calibration.Distance.Offset.Value)+0.5*rng.NormFloat64())
		r.frames = append(r.frames, f)
	}
	run, err := Analyse(r, &b, Options{})
	if err != nil {
		t.Fatal(err)
	}
	s := &run.Swings[0]
	seen := false
	for _, p := range s.Found.Points {
		seen = seen || p.T.Value > caught
	}
	if !seen {
		t.Fatal("the hand made no turn: nothing is tried")
	}
	if end := s.Record[len(s.Record)-1].T.Value; end > caught || end < caught-1 {
		t.Errorf("the books' last turning point is at %.3f s, the hand came at %.3f s", end, caught)
	}
}
