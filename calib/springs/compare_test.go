package springs

import (
	"math"
	"strings"
	"testing"

	"joulewell/calib/doubt"
	"joulewell/calib/fit"
	"joulewell/calib/proof"
)

func result(way string, rate, own, gravity float64) *Result {
	return &Result{Way: way, Joint: fit.Joint{Values: []float64{rate}, Own: [][]float64{{own * own}}, DoF: math.Inf(1),
		Sources: []fit.Source{{Name: "gravity", Effects: []float64{gravity}}}}}
}

// What two ways share cancels from their difference: 25.0 and 25.2 N/m, each uncertain by
// 0.3 N/m of the same gravity, differ by far more than the 0.01 N/m that is their own.
func TestSharedInputsCancel(t *testing.T) {
	a, b := result("a", 25, 0.01, 0.3), result("b", 25.2, 0.01, 0.3)
	pairs, doubts, err := Compare(a, b)
	if err != nil {
		t.Fatal(err)
	}
	proof.Near(t, "E_n", pairs[0].Rate, -0.2/(1.959963984540054*0.01*math.Sqrt2), 1e-9)
	if !doubts.Has(doubt.Disagree) || !strings.Contains(doubts[0].Text, "E_n = -7.22") || !math.IsNaN(pairs[0].Tension) {
		t.Errorf("%+v, %v", pairs, doubts)
	}
	b.Sources[0].Name = "another gravity"
	if pairs, doubts, err = Compare(a, b); err != nil || len(doubts) > 0 || math.Abs(pairs[0].Rate) > 0.25 {
		t.Errorf("not shared: %+v, %v, %v", pairs, doubts, err)
	}
}

// A mistake of one way must show: a spring weighed with the bob on, a mass mistaken.
func TestMistakesDisagree(t *testing.T) {
	b := newBench(9)
	hung, err := b.hanging().Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	s := b.swings()
	s.SpringMass.Value *= 2
	swung, err := s.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	if _, doubts, err := Compare(hung, swung); err != nil || !doubts.Has(doubt.Disagree) {
		t.Errorf("spring's mass doubled: %v, %v", doubts, err)
	}
	p := b.pull()
	for i := range p.Points {
		p.Points[i].Force += 0.3
	}
	drawn, err := p.Calibrate()
	if err != nil {
		t.Fatal(err)
	}
	pairs, doubts, err := Compare(hung, &drawn.Result)
	if err != nil || !doubts.Has(doubt.Disagree) || math.Abs(pairs[0].Rate) > 1 || math.Abs(pairs[0].Tension) < 1 {
		t.Errorf("zero of the cell off: %+v, %v, %v", pairs, doubts, err)
	}
}
