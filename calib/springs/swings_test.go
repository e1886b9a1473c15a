package springs

import (
	"math"
	"strings"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/masses"
	"joulewell/calib/proof"
	"joulewell/energy"
)

// omega sqrt(M/k) of a bob M on a uniform spring of mass r M: x/sqrt r with x the first
// root of x tan x = r, at 40 digits outside this project (Rayleigh's one third is the
// limit of light springs).
func TestExactPeriods(t *testing.T) {
	for _, c := range []struct{ ratio, omega float64 }{
		{0.01, 0.998336385511264}, {0.1, 0.983635472995548}, {0.5, 0.923864972696476}, {1, 0.86033358901938}, {10, 0.451848371574682},
	} {
		const bob, rate = 0.1, 40.0
		s := Swings{
			SpringMass: energy.Estimate{Value: c.ratio * bob},
			Masses: masses.Set{Gravity: energy.Estimate{Value: 9.81}, Pieces: []masses.Piece{
				{Name: "bob", Mass: energy.Estimate{Value: bob}, Density: energy.Estimate{Value: 8400}}}},
			Swings: []Swing{{Load: []string{"bob"}, Period: energy.Estimate{Value: 2 * math.Pi / (c.omega * math.Sqrt(rate/bob)), U: 1e-4}}},
		}
		r, err := s.Calibrate()
		if err != nil {
			t.Fatal(err)
		}
		proof.Near(t, "rate", r.Values[Rate], rate, 1e-11)
	}
	// The spring by itself: omega = (pi/2) sqrt(k/m_s).
	alone := Swings{SpringMass: energy.Estimate{Value: 0.06}, Masses: masses.Set{Gravity: energy.Estimate{Value: 9.81}},
		Swings: []Swing{{Period: energy.Estimate{Value: 4 * math.Sqrt(0.06/25), U: 1e-3}}}}
	r, err := alone.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "rate of a spring by itself", r.Values[Rate], 25, 1e-11)
}

// The rates of several masses agree, and a period that is off by one per cent shows.
func TestRatesOfSeveralMassesAgree(t *testing.T) {
	s := newBench(3).swings()
	r, err := s.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	if r.Agreement < disagreement || len(r.Doubts) > 0 || r.Estimate(Tension).Known() {
		t.Errorf("agreement %g, doubts %v", r.Agreement, r.Doubts)
	}
	s.Swings[2].Period.Value *= 1.01
	if r, err = s.Calibrate(); err != nil || !r.Doubts.Has(doubt.Scatter) || !strings.Contains(r.Summary(), "scatter seen") {
		t.Errorf("a period one per cent off: %v, %v", r, err)
	}
	s.Swings = s.Swings[:2]
	if r, err = s.Calibrate(); err != nil || !r.Doubts.Has(doubt.Few) {
		t.Errorf("two periods: %v, %v", r, err)
	}
}

func TestSwingsRefuse(t *testing.T) {
	work := func(j Swings) error {
		_, err := j.Calibrate()
		return err
	}
	proof.Refusals(t, func() Swings { return newBench(1).swings() }, work,
		proof.Refuse("none", "no period", doubt.ErrFew, func(s *Swings) { s.Swings = nil }),
		proof.Refuse("not a number", "swing 2", doubt.ErrNumber, func(s *Swings) { s.Swings[1].Period.Value = math.NaN() }),
		proof.Refuse("timed exactly", "swing 1", doubt.ErrNumber, func(s *Swings) { s.Swings[0].Period.U = 0 }),
		proof.Refuse("milliseconds", "between 0.05 and 20 s", doubt.ErrUnit, func(s *Swings) { s.Swings[0].Period.Value *= 1000 }),
		proof.Refuse("vague", "time ten swings", doubt.ErrUnsteady, func(s *Swings) { s.Swings[0].Period.U = 0.2 }),
		proof.Refuse("unknown piece", `"lid"`, doubt.ErrContradict, func(s *Swings) { s.Swings[0].Load = []string{"lid"} }),
		proof.Refuse("nothing at all", "spring without mass", doubt.ErrContradict, func(s *Swings) { s.SpringMass.Value, s.Swings[0].Load = 0, nil }),
		proof.Refuse("grams", "spring mass", doubt.ErrUnit, func(s *Swings) { s.SpringMass.Value = 60 }),
	)
}
