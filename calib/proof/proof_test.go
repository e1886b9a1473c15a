package proof

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"joulewell/calib/fit"
)

// heard takes the place of a test that must fail.
type heard struct {
	testing.TB
	failed bool
}

func (h *heard) Helper()               {}
func (h *heard) Logf(string, ...any)   {}
func (h *heard) Errorf(string, ...any) { h.failed = true }

func TestEachCanFail(t *testing.T) {
	reason := errors.New("reason")
	wrapped := fmt.Errorf("with %w: and words", reason)
	j := &fit.Joint{Values: []float64{1}, Own: [][]float64{{0.01}}, DoF: math.Inf(1)}
	tally := func(held, of int) func(testing.TB) {
		return func(t testing.TB) { (&Tally{held, of}).Check(t, "") }
	}
	for name, c := range map[string]struct {
		check func(testing.TB)
		fails bool
	}{
		"near":                {func(t testing.TB) { Near(t, "", 1, 1.1, 0.2) }, false},
		"far":                 {func(t testing.TB) { Near(t, "", 1, 1.1, 0.05) }, true},
		"not a number":        {func(t testing.TB) { Near(t, "", math.NaN(), 1, 1) }, true},
		"refused":             {func(t testing.TB) { Refused(t, "", wrapped, reason, "words") }, false},
		"not refused":         {func(t testing.TB) { Refused(t, "", nil, reason, "") }, true},
		"other reason":        {func(t testing.TB) { Refused(t, "", wrapped, errors.ErrUnsupported, "words") }, true},
		"other words":         {func(t testing.TB) { Refused(t, "", wrapped, reason, "speech") }, true},
		"95 in 100":           {tally(95, 100), false},
		"85 in 100":           {tally(85, 100), true},
		"all of thousand":     {tally(1000, 1000), true},
		"none":                {tally(0, 0), true},
		"960 of thousand":     {tally(960, 1000), false},
		"925 of thousand":     {tally(925, 1000), true},
		"interval holds":      {func(t testing.TB) { holds(t, j, 1.19) }, false},
		"interval misses":     {func(t testing.TB) { holds(t, j, 1.2) }, true},
		"moved as stated":     {func(t testing.TB) { Moved(t, "g", moving(1), moving(1.1)) }, false},
		"moved the other way": {func(t testing.TB) { Moved(t, "g", moving(1), moving(0.9)) }, true},
		"moved by nobody":     {func(t testing.TB) { Moved(t, "m", moving(1), moving(1.1)) }, true},
		"of the right one":    {func(t testing.TB) { holds(t, j, 0.81) }, false},
	} {
		h := &heard{TB: t}
		c.check(h)
		if h.failed != c.fails {
			t.Errorf("%s: fails %t, want %t", name, h.failed, c.fails)
		}
	}
}

// holds fails where the interval of 1.96 times 0.1 around 1 does not hold the truth.
func holds(t testing.TB, j *fit.Joint, truth float64) {
	var c Tally
	c.Add(t, j, 0, truth)
	if c.Held != 1 {
		t.Errorf("missed")
	}
}

func TestTrials(t *testing.T) {
	t.Setenv("JOULEWELL_BENCHES", "500")
	if n := Trials(3); n != 500 {
		t.Errorf("%d trials, want 500", n)
	}
	t.Setenv("JOULEWELL_BENCHES", "")
	if n := Trials(3); n != 3 {
		t.Errorf("%d trials, want 3", n)
	}
}

// moving is a value with a source of 0.1.
func moving(value float64) *fit.Joint {
	return &fit.Joint{Values: []float64{value}, Own: [][]float64{{0.0001}}, Sources: []fit.Source{{Name: "g", Effects: []float64{0.1}}}}
}
