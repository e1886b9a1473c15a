package ruler

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/calib/proof"
	"joulewell/energy"
)

const (
	trueScale  = 1.003
	trueOffset = 0.041
	trueSound  = 343.9
	uSound     = 0.36
)

// readings are those of a bench with a rule read to the nearest millimetre, a rule of a
// metre that is not quite one, and a speed of sound that is not quite known.
func readings(seed uint64, places int, fromSupport, echo bool) Job {
	rng := rand.New(rand.NewPCG(12, seed))
	j := Job{FromSupport: fromSupport, Rule: 3e-4, Foot: 5e-4, Range: 1}
	rule, foot := 1+j.Rule*rng.NormFloat64(), j.Foot*rng.NormFloat64()
	if echo {
		j.Sound = energy.Estimate{Value: trueSound + uSound*rng.NormFloat64(), U: uSound}
	}
	for i := range places {
		height := 0.2 + 0.8*float64(i)/float64(places-1) + 0.01*rng.Float64()
		d := (height - trueOffset) / trueScale
		if fromSupport {
			d = (1.6 - height) / trueScale
		}
		p := Place{Height: energy.Estimate{Value: math.Round(1e3*((height+foot)/rule)) / 1e3, U: 1e-3 / math.Sqrt(12)}}
		if u := 2e-4; echo {
			per := 2e6 / trueSound // [us/m]
			p.EchoUs = energy.Estimate{Value: math.Round((d+u*rng.NormFloat64())*per*10) / 10, U: u * per}
		} else {
			p.RangeMm = energy.Estimate{Value: math.Round((d+u*rng.NormFloat64())*1e5) / 1e2, U: u * 1e3}
		}
		j.Places = append(j.Places, p)
	}
	return j
}

// 95 % intervals must hold the truth as often as they say, from floor and support, for
// echoes and distances, with shared deviations of rule and sound.
func TestIntervalsHoldTheTruth(t *testing.T) {
	for _, c := range []struct {
		name          string
		support, echo bool
		places        int
		offset        float64
	}{{"floor, echoes", false, true, 6, trueOffset}, {"support, distances", true, false, 4, 1.6}} {
		var offset, scale proof.Tally
		for seed := range uint64(proof.Trials(300)) {
			r, err := Calibrate(readings(seed, c.places, c.support, c.echo))
			if err != nil {
				t.Fatal(err)
			}
			offset.Add(t, &r.Joint, Offset, c.offset)
			scale.Add(t, &r.Joint, Scale, trueScale)
		}
		offset.Check(t, c.name+", offset")
		scale.Check(t, c.name+", scale")
	}
}

// The speed of sound moves the scale and weighs no point: with the same readings and
// a hundred times its uncertainty the line stays where it is.
func TestSoundIsNoScatter(t *testing.T) {
	j := readings(3, 6, false, true)
	a, err := Calibrate(j)
	if err != nil {
		t.Fatal(err)
	}
	j.Sound.U *= 10
	b, err := Calibrate(j)
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "scale", b.Values[Scale], a.Values[Scale], 1e-12)
	proof.Near(t, "agreement", b.Agreement, a.Agreement, 1e-9)
	share := 10 * uSound / trueSound
	proof.Near(t, "u of scale", math.Sqrt(b.U(Scale)*b.U(Scale)-a.U(Scale)*a.U(Scale)), share*math.Sqrt(0.99), 0.02*share)
	proof.Near(t, "u of offset", b.U(Offset), a.U(Offset), 1e-5)
}

// Sources act as stating their inputs higher does.
func TestSourcesAreWhatMovingInputsDoes(t *testing.T) {
	work := func(move func(*Job)) *fit.Joint {
		j := readings(6, 6, false, true)
		j.Foot = 0.01
		move(&j)
		r, err := Calibrate(j)
		if err != nil {
			t.Fatal(err)
		}
		return &r.Joint
	}
	before := work(func(*Job) {})
	proof.Moved(t, "speed of sound", before, work(func(j *Job) { j.Sound.Value += j.Sound.U }))
	proof.Moved(t, "rule", before, work(func(j *Job) { scaleHeights(j, 1+j.Rule) }))
	proof.Moved(t, "foot of the rule", before, work(func(j *Job) {
		for i := range j.Places {
			j.Places[i].Height.Value += j.Foot
		}
	}))
}

// Heights are the line's, from either side, and known best among the places.
func TestHeight(t *testing.T) {
	for _, support := range []bool{false, true} {
		r, err := Calibrate(readings(2, 8, support, false))
		if err != nil {
			t.Fatal(err)
		}
		want := trueOffset + trueScale*0.5
		if support {
			want = 1.6 - trueScale*0.5
		}
		h := r.Height(0.5)
		proof.Near(t, "height", h.Value, want, 3*h.U)
		if far := r.Height(3); !(far.U > h.U) || h.U < r.U(Scale)*1e-3 {
			t.Errorf("u of height %g m among the places, %g m far from them", h.U, far.U)
		}
		if s := r.Summary(); !strings.Contains(s, map[bool]string{false: "floor", true: "support"}[support]) {
			t.Errorf("summary: %s", s)
		}
	}
}

func TestDoubts(t *testing.T) {
	work := func(j Job) (doubt.Notes, error) {
		r, err := Calibrate(j)
		if err != nil {
			return nil, err
		}
		return r.Doubts, nil
	}
	proof.Doubts(t, func() Job { return readings(11, 8, false, true) }, work,
		proof.Suspect("three places", doubt.Few, func(j *Job) { j.Places = j.Places[:3] }),
		proof.Suspect("more scatter than stated", doubt.Scatter, func(j *Job) { j.Places[2].Height.Value += 0.004; j.Places[5].Height.Value -= 0.004 }),
		proof.Suspect("small part of the range", doubt.Narrow, func(j *Job) { j.Range = 5 }),
		proof.Suspect("short metre", doubt.Scale, func(j *Job) { j.Sound.Value *= 1.06 }),
		proof.Suspect("sees the spring", doubt.Bent, func(j *Job) {
			for i := range j.Places {
				j.Places[i].Height.Value += 0.1 * math.Pow(j.Places[i].Height.Value-0.6, 2)
			}
		}),
		proof.Suspect("one slip", doubt.Odd, func(j *Job) { j.Places[4].Height.Value += 0.01 }),
	)
}

func TestRefuses(t *testing.T) {
	work := func(j Job) error {
		_, err := Calibrate(j)
		return err
	}
	proof.Refusals(t, func() Job { return readings(1, 6, false, true) }, work,
		proof.Refuse("two places", "2 places", doubt.ErrFew, func(j *Job) { j.Places = j.Places[:2] }),
		proof.Refuse("one place again and again", "1 different heights", doubt.ErrFew, func(j *Job) { j.Places[1], j.Places[2] = j.Places[0], j.Places[0]; j.Places = j.Places[:3] }),
		proof.Refuse("not a number", "place 2", doubt.ErrNumber, func(j *Job) { j.Places[1].Height.Value = math.NaN() }),
		proof.Refuse("read exactly", "no rule is read exactly", doubt.ErrNumber, func(j *Job) { j.Places[1].Height.U = 0 }),
		proof.Refuse("centimetres", "20 m", doubt.ErrUnit, func(j *Job) { scaleHeights(j, 100) }),
		proof.Refuse("feet", "in metres", doubt.ErrUnit, func(j *Job) { scaleHeights(j, 3.28) }),
		proof.Refuse("the other side", "floor or at the support", doubt.ErrContradict, func(j *Job) { j.FromSupport = true }),
		proof.Refuse("swinging", "hangs still", doubt.ErrUnsteady, func(j *Job) { j.Places[3].EchoUs.U = 900 }),
		proof.Refuse("mixed", "all readings must be echoes", doubt.ErrContradict, func(j *Job) { j.Places[3].EchoUs = energy.Estimate{}; j.Places[3].RangeMm.Value = 500 }),
		proof.Refuse("no speed of sound", "speed of sound", doubt.ErrUnit, func(j *Job) { j.Sound = energy.Estimate{} }),
		proof.Refuse("rule unknown", "rule", doubt.ErrNumber, func(j *Job) { j.Rule = math.NaN() }),
	)
}

func scaleHeights(j *Job, by float64) {
	for i := range j.Places {
		j.Places[i].Height.Value *= by
	}
}
