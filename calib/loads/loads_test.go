package loads

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/calib/masses"
	"joulewell/calib/proof"
	"joulewell/energy"
)

func calibrate(t *testing.T, b bench) *Result {
	t.Helper()
	r, err := Calibrate(b.job())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// 95 % intervals of simulated calibrations must hold the truth as often as they say,
// with readings rounded to whole counts, masses off their certificates, one reference
// behind two of them, a zero that drifts, and hysteresis.
func TestIntervalsHoldTheTruth(t *testing.T) {
	var straight, bent, force proof.Tally
	for seed := range uint64(proof.Trials(40)) {
		b := usual(seed)
		straight.Add(t, &calibrate(t, b).Joint, Span, b.span)
		b.bend = 2e-13 // 0.5 % at the largest load
		r := calibrate(t, b)
		if !r.Bent {
			t.Errorf("seed %d: a bend of 0.5 %% was not seen: F = %g", seed, r.F)
		}
		bent.Add(t, &r.Joint, Span, b.span)
		halfway := r.Through(func(x []float64) []float64 { return []float64{2e5 * (x[Span] + 2e5*x[Quadratic])} })
		force.Add(t, &halfway, 0, 2e5*(b.span+2e5*b.bend))
	}
	straight.Check(t, "span of a line")
	bent.Check(t, "span of a bent curve")
	force.Check(t, "force at half load")
}

// The characteristics must come out as they were put in.
func TestCharacteristics(t *testing.T) {
	b := usual(3)
	b.noise, b.drift = 2, 0.05
	j := b.job()
	for i := range 300 {
		j.Hold = append(j.Hold, Moment{T: float64(i), Counts: 1e5 + 30*(1-math.Exp(-float64(i)/60))})
	}
	r, err := Calibrate(j)
	if err != nil {
		t.Fatal(err)
	}
	// Largest distance of 2 h x(1-x) to either side: 4 h 0.4 0.6 at the loads of 2 and 3 fifths.
	proof.Near(t, "reversibility", r.Reversibility.Value, 4*0.24*40*2e-5, 3*r.Reversibility.U)
	proof.Near(t, "scatter", r.Scatter, 2*2e-5, 2e-5)
	proof.Near(t, "drift", r.Drift.Value, 0.05, 3*r.Drift.U)
	proof.Near(t, "zero return", r.ZeroReturn.Value, 0.05*j.Readings[len(j.Readings)-1].T*2e-5, 4*r.ZeroReturn.U)
	proof.Near(t, "lower limit", r.LowerLimit, 2.4*r.Scatter, 1e-15) // ASTM E74 (from memory)
	proof.Near(t, "creep", r.Creep.Value, 30*(math.Exp(-0.5)-math.Exp(-294.5/60))*2e-5, 3*r.Creep.U)
	proof.Near(t, "zero", r.Values[Zero], -184223+0.05*j.Readings[len(j.Readings)-1].T, 4*r.U(Zero))
	if r.Bent || r.NonLinearity.Value > 4*r.NonLinearity.U {
		t.Errorf("bent without reason: F = %g, non-linearity %+v", r.F, r.NonLinearity)
	}
	if !(r.Repeatability.Value > 0 && r.Repeatability.Value < 6*r.Scatter) {
		t.Errorf("repeatability %+v beside a scatter of %g N", r.Repeatability, r.Scatter)
	}
	ofLargest, ofCapacity := r.Share(0.02)
	proof.Near(t, "share of capacity", ofCapacity, 0.001, 1e-15)
	proof.Near(t, "share of the largest load", ofLargest, 0.02/r.Largest, 1e-15)
	if u0, u1 := r.Uncertainty(0.5), r.Uncertainty(9.5); !(u0 > r.Scatter && u1 > u0) {
		t.Errorf("uncertainty %g N at 0.5 N and %g N at 9.5 N: must grow and hold the scatter %g N", u0, u1, r.Scatter)
	}
	table := r.Characteristics()
	if len(table) != 7 || table[1].Name != "reversibility" {
		t.Fatalf("characteristics %+v", table)
	}
	proof.Near(t, "reversibility of the capacity", table[1].OfCapacity, r.Reversibility.Value/20, 1e-15)
	proof.Near(t, "reversibility of the largest load", table[1].OfLargest, r.Reversibility.Value/r.Largest, 1e-15)
	curve, half := r.Force(r.Values[Zero]+5/r.Values[Span]).U, r.Reversibility.Value/2
	proof.Near(t, "uncertainty at 5 N", r.Uncertainty(5), math.Sqrt(curve*curve+r.Scatter*r.Scatter+half*half/3), 1e-9)
	if s := r.Summary(); !strings.Contains(s, "no class") || !strings.Contains(s, "One count means") {
		t.Errorf("summary: %s", s)
	}
}

// Characteristics of ISO 376 in a worked example of invented readings [mV/V]: X1 1.9998 and
// X2 2.0001 under one load are a repeatability of 0.0150004 %, creep readings of 0.0001
// and 0.0004 beside a full output of 2.0000 a creep of 0.015 %, a zero of 0.0002 afterwards
// a return of 0.01 % (formulas from memory, arithmetic outside this project).
func TestWorkedNumbers(t *testing.T) {
	j := usual(1).job()
	j.Nominal = 0
	half, full := j.Readings[1].Load, j.Readings[2].Load
	j.Readings = []Reading{
		{Load: nil, Counts: 0}, {Load: half, Counts: 1}, {Load: full, Counts: 1.9998}, {Load: nil, Counts: 0},
		{Load: half, Counts: 1}, {Load: full, Counts: 2.0001}, {Load: nil, Counts: 0},
	}
	for i := range 121 {
		j.Hold = append(j.Hold, Moment{T: float64(i), Counts: map[bool]float64{false: 1.0001, true: 1.0004}[i > 60]})
	}
	r, err := Calibrate(j)
	if err != nil {
		t.Fatal(err)
	}
	repeatability, _ := r.Share(r.Repeatability.Value)
	proof.Near(t, "repeatability", repeatability, 0.000150004, 0.5e-7)
	creep, _ := r.Share(r.Creep.Value)
	proof.Near(t, "creep", creep, 0.00015, 0.5e-7)
	for i := range j.Readings {
		j.Readings[i].T = float64(i)
	}
	j.Readings[6].Counts = 0.0002
	if r, err = Calibrate(j); err != nil {
		t.Fatal(err)
	}
	back, _ := r.Share(r.ZeroReturn.Value)
	proof.Near(t, "return of zero", back, 0.0001, 0.5e-7)
}

// Pontius, NIST Statistical Reference Datasets: a load cell's calibration, certified
// quadratic. Without sources of the masses the test for a bend is the F test.
func TestPontius(t *testing.T) {
	p := &prepared{Job: &Job{}}
	var points []fit.Point
	for i, row := range proof.Table(t, "../fit/testdata/pontius.csv") {
		y, x := row[0], row[1]
		points = append(points, fit.Point{X: x, Y: y})
		p.forces, p.keys, p.courses = append(p.forces, x), append(p.keys, fmt.Sprint(x)), append(p.courses, 1)
		p.Readings = append(p.Readings, Reading{T: float64(i), Counts: y})
	}
	bent, err := p.fit(2)
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "b1", bent.Values[atSlope], 0.732059160401003e-6, 1e-6*1e-9)
	proof.Near(t, "b2", bent.Values[atSquare], -0.316081871345029e-14, 1e-14*1e-8)
	proof.Near(t, "u(b2)", bent.U(atSquare), 0.486652849992036e-16, 1e-16*1e-6)
	proof.Near(t, "residual standard deviation", bent.Scatter, 0.205177424076185e-3, 1e-3*1e-8)
	line, _ := fit.Ordinary(points, fit.Line)
	curve, _ := fit.Ordinary(points, fit.Quadratic)
	want, _, err := fit.Curvature(&line, &curve)
	if err != nil {
		t.Fatal(err)
	}
	got := math.Pow(bent.Values[atSquare]/bent.U(atSquare), 2)
	proof.Near(t, "F", got, want, 1e-5*want)
}

// A piece that hung in every load is wrong in every load: its share of the span's
// uncertainty does not shrink with the number of readings.
func TestSharedMassDoesNotAverageOut(t *testing.T) {
	var u [2]float64
	for i, rounds := range []int{1, 8} {
		b := usual(5)
		b.rounds = rounds
		j := b.job()
		for k := range j.Masses.Pieces {
			j.Masses.Pieces[k].Reference = "R"
		}
		r, err := Calibrate(j)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range r.Sources {
			if s.Name == "reference R" {
				u[i] = math.Abs(s.Effects[Span])
			}
		}
	}
	proof.Near(t, "relative effect of the reference", u[0]/2e-5, 2e-5/0.2, 2e-7)
	proof.Near(t, "the same from eight times the readings", u[1], u[0], 1e-3*u[0])
}

// Sources act as stating their inputs higher does.
func TestSourcesAreWhatMovingInputsDoes(t *testing.T) {
	b := usual(6)
	b.bend = 2e-13
	work := func(move func(*masses.Set)) *fit.Joint {
		j := b.job()
		j.Masses.Gravity.U, j.Masses.Air.U = 0.01, 0.1
		move(&j.Masses)
		r, err := Calibrate(j)
		if err != nil {
			t.Fatal(err)
		}
		return &r.Joint
	}
	before := work(func(*masses.Set) {})
	proof.Moved(t, "gravity", before, work(func(s *masses.Set) { s.Gravity.Value += s.Gravity.U }))
	proof.Moved(t, "density of air", before, work(func(s *masses.Set) { s.Air.Value += s.Air.U }))
	proof.Moved(t, "mass of 200 g no. 4", before, work(func(s *masses.Set) { s.Pieces[3].Mass.Value += s.Pieces[3].Mass.U }))
	proof.Moved(t, "reference R", before, work(func(s *masses.Set) {
		s.Pieces[0].Mass.Value += s.Pieces[0].Mass.U
		s.Pieces[1].Mass.Value += s.Pieces[1].Mass.U
	}))
}

func TestDoubts(t *testing.T) {
	work := func(j Job) (doubt.Notes, error) {
		r, err := Calibrate(j)
		if err != nil {
			return nil, err
		}
		return r.Doubts, nil
	}
	proof.Doubts(t, func() Job { return usual(2).job() }, work,
		proof.Suspect("one series up", doubt.NoReturn, func(j *Job) { j.Readings = j.Readings[:6] }),
		proof.Suspect("nothing repeated", doubt.NoRepeat, func(j *Job) { j.Readings = j.Readings[:6] }),
		proof.Suspect("no tare after", doubt.NoTare, func(j *Job) { j.Readings = j.Readings[:6] }),
		proof.Suspect("few", doubt.Few, func(j *Job) { j.Readings = j.Readings[:5] }),
		proof.Suspect("does not come back", doubt.Set, func(j *Job) { j.Readings[len(j.Readings)-1].Counts += 3000 }),
		proof.Suspect("up again in the middle", doubt.Order, func(j *Job) { j.Readings[7], j.Readings[8] = swapped(j.Readings[7], j.Readings[8]) }),
		proof.Suspect("small loads", doubt.Narrow, func(j *Job) { j.Capacity = 100 }),
		proof.Suspect("other gain", doubt.Scale, func(j *Job) { j.Nominal = 1e-5 }),
		proof.Suspect("one slip", doubt.Odd, func(j *Job) { j.Readings[13].Counts += 400 }),
		proof.Suspect("creep", doubt.Creep, func(j *Job) {
			for i := range 200 {
				j.Hold = append(j.Hold, Moment{T: float64(i), Counts: 5 * float64(i)})
			}
		}),
	)
}

func swapped(a, b Reading) (Reading, Reading) {
	a.T, b.T = b.T, a.T
	return b, a
}

func TestRefuses(t *testing.T) {
	work := func(j Job) error {
		_, err := Calibrate(j)
		return err
	}
	proof.Refusals(t, func() Job { return usual(1).job() }, work,
		proof.Refuse("one load again and again", "2 different loads", doubt.ErrFew, func(j *Job) {
			for i := range j.Readings {
				if len(j.Readings[i].Load) > 0 {
					j.Readings[i].Load = j.Readings[i].Load[:1]
				}
			}
		}),
		proof.Refuse("no tare", "unloaded cell", doubt.ErrFew, func(j *Job) { j.Readings = j.Readings[1:6] }),
		proof.Refuse("not a number", "reading 4", doubt.ErrNumber, func(j *Job) { j.Readings[3].Counts = math.NaN() }),
		proof.Refuse("grams for kilograms", "grams are written as", doubt.ErrUnit, func(j *Job) { scaleMasses(j, 1000) }),
		proof.Refuse("ten times, by capacity", "cell of 20 N", doubt.ErrUnit, func(j *Job) { scaleMasses(j, 10) }),
		proof.Refuse("ten times, by span", "stated for the cell", doubt.ErrUnit, func(j *Job) { scaleMasses(j, 10); j.Capacity = 0 }),
		proof.Refuse("swinging", "wait until it hangs still", doubt.ErrUnsteady, func(j *Job) { j.Readings[4].U = 9000 }),
		proof.Refuse("not connected", "connected", doubt.ErrContradict, func(j *Job) {
			for i := range j.Readings {
				j.Readings[i].Counts = 8388607
			}
		}),
		proof.Refuse("back in time", "earlier", doubt.ErrContradict, func(j *Job) { j.Readings[4].T = 0 }),
		proof.Refuse("unknown piece", `"lid"`, doubt.ErrContradict, func(j *Job) { j.Readings[4].Load = []string{"lid"} }),
		proof.Refuse("capacity not a number", "capacity", doubt.ErrNumber, func(j *Job) { j.Capacity = math.NaN() }),
		proof.Refuse("no gravity", "gravity", doubt.ErrUnit, func(j *Job) { j.Masses.Gravity = energy.Estimate{} }),
	)
}

func scaleMasses(j *Job, by float64) {
	for i := range j.Masses.Pieces {
		j.Masses.Pieces[i].Mass.Value *= by
	}
}
