package doubt

import (
	"math"
	"testing"
)

func TestNotes(t *testing.T) {
	var n Notes
	if n.Has(Odd) {
		t.Error("no notes have a doubt")
	}
	n.Add(Odd, "reading %d stands apart", 3)
	if !n.Has(Odd) || n.Has(Set) || n[0].Text != "reading 3 stands apart" {
		t.Errorf("%+v", n)
	}
}

func TestNumbers(t *testing.T) {
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if Finite(1, v) || Uncertain(v) {
			t.Errorf("%g passes", v)
		}
	}
	if !Finite(-1, 0) || !Uncertain(0) || Uncertain(-1) {
		t.Error("signs are mistaken")
	}
}
