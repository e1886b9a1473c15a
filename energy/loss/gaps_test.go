package loss

import (
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"joulewell/energy"
)

// quiet is a swing sampled well: 0.1 mm and 2 mm/s at 80 a second.
func quiet(seed uint64, end float64) (swing, []Sample) {
	rng := rand.New(rand.NewPCG(seed, 1))
	s := bench(rng)
	s.phase = 0.3
	return s, s.noisy(rng, 80, end, 1e-4, 2e-3)
}

// cut takes out the samples of a stretch and marks the gap.
func cut(samples []Sample, from, to float64) []Sample {
	kept := slices.DeleteFunc(slices.Clone(samples), func(s Sample) bool { return s.T >= from && s.T < to })
	for i := range kept {
		if kept[i].T >= to {
			kept[i].Gap = true
			break
		}
	}
	return kept
}

func TestTurningPointsInGapsAreLostAndNeverInvented(t *testing.T) {
	s, samples := quiet(5, 12)
	at, _ := s.turns(12)
	for _, c := range []struct {
		name     string
		from, to float64
		lost     int
	}{
		{"none", at[4] + 0.15, at[4] + 0.155, 0},
		{"between two turns", at[4] + 0.06, at[5] - 0.06, 0},
		{"over one", at[4] - 0.05, at[4] + 0.05, 1},
		{"just before one", at[4] - 0.08, at[4] - 0.001, 1},
		{"over two", at[4] - 0.05, at[5] + 0.05, 2},
		{"over seven", at[4] - 0.05, at[10] + 0.05, 7},
		{"over eight", at[4] - 0.05, at[11] + 0.05, 8},
	} {
		t.Run(c.name, func(t *testing.T) {
			for _, absent := range []bool{false, true} {
				gappy := cut(samples, c.from, c.to)
				if absent { // the smoother says so sample by sample
					gappy = slices.Clone(samples)
					for i := range gappy {
						if gappy[i].T >= c.from && gappy[i].T < c.to {
							gappy[i].Extension, gappy[i].Velocity = energy.None(), energy.None()
						}
					}
				}
				found, err := TurningPoints(gappy, Options{})
				if err != nil {
					t.Fatal(err)
				}
				var lost int
				for _, l := range found.Lost {
					lost += l.Count
				}
				if lost != c.lost {
					t.Errorf("lost %+v, want %d", found.Lost, c.lost)
				}
				for _, p := range found.Points {
					i := nearest(at, p.T.Value)
					if math.Abs(at[i]-p.T.Value) > 0.02 {
						t.Errorf("a turning point at %.3f s, the nearest true one is at %.3f s", p.T.Value, at[i])
					}
					if at[i] >= c.from && at[i] < c.to {
						t.Errorf("a turning point at %.3f s, inside the gap", p.T.Value)
					}
					if p.Index != i-nearest(at, found.Points[0].T.Value) || p.Record != 0 {
						t.Errorf("the turning point at %.3f s has index %d of record %d, it is number %d", p.T.Value, p.Index, p.Record, i)
					}
				}
			}
		})
	}
}

// Where the spacing fits no number of half swings, or too many, a new record begins.
func TestGapThatNobodyCanCountAcrossStartsAnotherRecord(t *testing.T) {
	for name, pause := range map[string]float64{"odd spacing": 2 + 0.8/3, "too long": 120} {
		_, samples := quiet(6, 10)
		n := len(samples)
		_, later := quiet(6, 12)
		for i, s := range later {
			s.T += 10 + pause // 15 periods later the phase is the same
			s.Gap = i == 0
			samples = append(samples, s)
		}
		found, err := TurningPoints(samples, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(found.Lost) != 1 || found.Lost[0] != (Stretch{samples[n-1].T, samples[n].T, -1}) {
			t.Errorf("%s: lost %+v, want one stretch that cannot be counted", name, found.Lost)
		}
		if longest := found.Longest(); longest[0].Record != 1 || longest[0].Index != 0 || len(longest) != 36 {
			t.Errorf("%s: longest record is %d with %d turning points, want 1 with 36", name, longest[0].Record, len(longest))
		}
	}
}

// Rest before and after the swing must not add turning points, however long it lasts.
func TestNoiseAtRestMakesNoTurningPoints(t *testing.T) {
	s, samples := quiet(7, 8)
	rng := rand.New(rand.NewPCG(7, 7))
	start, _, _ := s.at(0)
	end, _, _ := s.at(8)
	var run []Sample
	add := func(x, v float64) {
		run = append(run, Sample{
			T:         float64(len(run)) / 80,
			Extension: energy.Estimate{Value: x + 1e-4*rng.NormFloat64(), U: 1e-4},
			Velocity:  energy.Estimate{Value: v + 2e-3*rng.NormFloat64(), U: 2e-3},
		})
	}
	for range 40000 {
		add(start, 0)
	}
	for _, m := range samples {
		add(m.Extension.Value, m.Velocity.Value)
	}
	for range 40000 {
		add(end, 0)
	}
	found, err := TurningPoints(run, Options{})
	if err != nil {
		t.Fatal(err)
	}
	at, _ := s.turns(8)
	longest := found.Longest()
	if n := len(longest); n < len(at)-1 || n > len(at)+1 {
		t.Errorf("%d turning points, the swing has %d", n, len(at))
	}
	for _, p := range longest {
		if i := nearest(at, p.T.Value-500); math.Abs(at[i]-p.T.Value+500) > 0.02 {
			t.Errorf("a turning point at %.3f s, the nearest true one is at %.3f s", p.T.Value, at[i]+500)
		}
	}
}

// What the velocity lets pass the extension must still catch: turns whose way is within
// the noise, alone and in numbers.
func TestTurnsWithinTheNoiseAreLeftOut(t *testing.T) {
	at := func(when, x float64, side Side) Turning {
		return Turning{T: energy.Estimate{Value: when, U: 1e-3}, Extension: energy.Estimate{Value: x, U: 1e-4}, Side: side}
	}
	points := []Turning{
		at(1, 0.1000, Upper), at(1.2, 0.1003, Lower), at(1.3, 0.0999, Upper), // rest
		at(2, 0.15, Lower), at(2.3, 0.08, Upper), // swing
		at(2.35, 0.0803, Lower), at(2.4, 0.0801, Upper), // a doubled turn
		at(2.7, 0.14, Lower), at(3, 0.1398, Upper), // rest
	}
	var kept []float64
	for _, p := range significant(points, nil) {
		kept = append(kept, p.T.Value)
	}
	if !slices.Equal(kept, []float64{1, 2, 2.3, 2.7}) {
		t.Errorf("kept the turns at %v s, want 1, 2, 2.3, 2.7", kept)
	}
}

func TestFalseFirstTurnGivesWayToATrueOne(t *testing.T) {
	points := []Turning{
		{T: energy.Estimate{Value: 1}, Extension: energy.Estimate{Value: 0.1, U: 1e-4}, Side: Lower}, // at rest
		{T: energy.Estimate{Value: 2}, Extension: energy.Estimate{Value: 0.15, U: 1e-4}, Side: Lower},
	}
	if kept := significant(points, nil); len(kept) != 1 || kept[0].T.Value != 2 {
		t.Errorf("kept %+v, want the lower of the two", kept)
	}
}

// A hand stops the bob at a turn, holds it for two and a half seconds and lets it go
// on: nobody may count half swings across that.
func TestStoppedBobStartsAnotherRecord(t *testing.T) {
	s, samples := quiet(12, 12)
	at, _ := s.turns(12)
	stop := int(80 * at[10])
	var run []Sample
	for i, m := range samples {
		if i == stop {
			rng := rand.New(rand.NewPCG(12, 2))
			for range 200 {
				h := m
				h.Extension.Value += 1e-4 * rng.NormFloat64()
				h.Velocity.Value = 2e-3 * rng.NormFloat64()
				run = append(run, h)
			}
		}
		run = append(run, m)
	}
	for i := range run {
		run[i].T = float64(i) / 80
	}
	found, err := TurningPoints(run, Options{})
	if err != nil {
		t.Fatal(err)
	}
	before, after := found.Points[9], found.Points[len(found.Points)-1]
	if before.Record != 0 || before.Index != 9 || after.Record != 1 || len(found.Longest()) < 24 || len(found.Lost) != 0 {
		t.Errorf("before the stop: %+v; at the end: %+v; lost %+v", before, after, found.Lost)
	}
}

func TestReleaseIsTheFirstTurningPoint(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	s := swing{neutral: 0.11, amplitude: 0.05, decay: 0.02, omega: 9, phase: math.Pi}
	var samples []Sample
	for i := range 160 { // held at the highest place for two seconds
		samples = append(samples, Sample{T: float64(i-160) / 80, Extension: energy.Estimate{Value: 0.06 + 1e-4*rng.NormFloat64(), U: 1e-4}, Velocity: energy.Estimate{Value: 2e-3 * rng.NormFloat64(), U: 2e-3}})
	}
	samples = append(samples, s.noisy(rng, 80, 3, 1e-4, 2e-3)...)
	found, err := TurningPoints(samples, Options{HeldFrom: -2, HeldTo: -0.01})
	if err != nil {
		t.Fatal(err)
	}
	p := found.Points
	if !p[0].Release || p[0].Side != Upper || p[0].Index != 0 || p[1].Release || p[1].Side != Lower || p[1].Index != 1 || p[1].Record != 0 {
		t.Fatalf("first turning points: %+v, %+v", p[0], p[1])
	}
	near(t, "height of release", p[0].Extension.Value, 0.06, 4e-5)
	near(t, "time of first lowest point", p[1].T.Value, math.Pi/9, 4*p[1].T.U)

	// The first drop alone, stopped right after its lowest point.
	found, err = TurningPoints(samples[:160+40], Options{HeldFrom: -2, HeldTo: -0.01})
	if err != nil {
		t.Fatal(err)
	}
	if len(found.Points) != 2 || found.Points[1].Index != 1 {
		t.Errorf("a drop stopped early has turning points %+v", found.Points)
	}
	if _, err := TurningPoints(samples, Options{HeldFrom: 0.1, HeldTo: 0.5}); err == nil || !strings.Contains(err.Error(), "bob moves") {
		t.Errorf("held while swinging: %v", err)
	}
}

// Readings so noisy that the largest speed is nine uncertainties: no turn may be found
// twice, nothing besides, and next to none be given up as lost.
func TestNoisyTurnsAreFoundOnce(t *testing.T) {
	rng := rand.New(rand.NewPCG(10, 10))
	lost, all := 0, 0
	for range 200 {
		s := bench(rng)
		found, err := TurningPoints(s.noisy(rng, 80, 12, 2e-3, 0.05), Options{})
		if err != nil {
			t.Fatal(err)
		}
		at, _ := s.turns(12)
		first := nearest(at, found.Points[0].T.Value)
		for _, p := range found.Points {
			if j := nearest(at, p.T.Value); p.Index != j-first || p.Record != 0 || math.Abs(at[j]-p.T.Value) > 6*p.T.U {
				t.Fatalf("turning point %+v is number %d at %.3f s", p, j-first, at[j])
			}
		}
		all += len(at)
		lost += len(at) - len(found.Points)
	}
	if lost > all/100+200 { // each run may lack one at its very ends
		t.Errorf("%d of %d turns not found", lost, all)
	}
}

// A run that holds one turn and nothing else has no spacing to go by.
func TestLoneTurnIsFound(t *testing.T) {
	s, samples := quiet(11, 12)
	at, x := s.turns(12)
	for _, i := range []int{3, 4} {
		from, to := int(80*(at[i]-0.12)), int(80*(at[i]+0.12))
		found, err := TurningPoints(samples[from:to], Options{})
		if err != nil {
			t.Fatal(err)
		}
		if len(found.Points) != 1 {
			t.Fatalf("%d turning points, want 1", len(found.Points))
		}
		near(t, "time", found.Points[0].T.Value, at[i], 4*found.Points[0].T.U)
		near(t, "extension", found.Points[0].Extension.Value, x[i], 4e-4)
	}
	thin := samples[:0:0]
	for i := 0; i < len(samples); i += 14 {
		thin = append(thin, samples[i])
	}
	if _, err := TurningPoints(thin, Options{}); !errors.Is(err, ErrStill) || !strings.Contains(err.Error(), "never with at least 3 samples") {
		t.Errorf("4 samples a period: %v", err)
	}
}

func TestUnusableSamplesAreRefused(t *testing.T) {
	_, good := quiet(9, 4)
	for _, c := range []struct {
		name, want string
		kind       error
		spoil      func([]Sample) []Sample
	}{
		{"empty", "none of 0", ErrSamples, func([]Sample) []Sample { return nil }},
		{"backward in time", "sample 7: time", ErrSamples, func(s []Sample) []Sample { s[7].T = s[6].T; return s }},
		{"time is no number", "sample 7: time", ErrSamples, func(s []Sample) []Sample { s[7].T = math.NaN(); return s }},
		{"infinite", "must be finite", ErrSamples, func(s []Sample) []Sample { s[7].Extension.Value = math.Inf(1); return s }},
		{"no uncertainty", "uncertainties positive", ErrSamples, func(s []Sample) []Sample { s[7].Velocity.U = 0; return s }},
		{"uncertainty is no number", "uncertainties positive", ErrSamples, func(s []Sample) []Sample { s[7].Extension.U = math.NaN(); return s }},
		{"covariance too large", "covariance", ErrSamples, func(s []Sample) []Sample { s[7].Covariance = 1; return s }},
		{"velocity upward", "positive downward", ErrSamples, func(s []Sample) []Sample {
			for i := range s {
				s[i].Velocity.Value *= -1
			}
			return s
		}},
		{"constant", "no velocity passes", ErrStill, func(s []Sample) []Sample {
			for i := range s {
				s[i].Extension.Value, s[i].Velocity.Value = 0.1, 0
			}
			return s
		}},
		{"all absent", "none of 320", ErrSamples, func(s []Sample) []Sample {
			for i := range s {
				s[i].Extension, s[i].Velocity = energy.None(), energy.None()
			}
			return s
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			found, err := TurningPoints(c.spoil(slices.Clone(good)), Options{})
			if !errors.Is(err, c.kind) || !strings.Contains(err.Error(), c.want) {
				t.Errorf("TurningPoints = %+v, %v; want an error saying %q", found, err, c.want)
			}
		})
	}
}
