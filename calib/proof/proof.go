// Package proof answers, for tests: does a calibration hold what it states?
//
// It compares numbers, refusals and doubts with those wanted, and counts how often stated
// intervals hold the truth of simulated calibrations. Only tests import it.
package proof

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"joulewell/calib/fit"
)

// Near wants got within tol of want.
func Near(t testing.TB, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.15g, want %.15g within %.2g", what, got, want, tol)
	}
}

// Refused wants an error that wraps another and says some words.
func Refused(t testing.TB, name string, err, wraps error, words string) {
	t.Helper()
	if err == nil || !errors.Is(err, wraps) || !strings.Contains(err.Error(), words) {
		t.Errorf("%s: %v, want a refusal for %q that says %q", name, err, wraps, words)
	}
}

// Trials returns how many simulated calibrations a test takes: few, or what the variable
// JOULEWELL_BENCHES asks for.
func Trials(few int) int {
	if n, err := strconv.Atoi(os.Getenv("JOULEWELL_BENCHES")); err == nil && n > 0 {
		return n
	}
	return few
}

// Tally counts how often intervals of 95 % hold the truth.
type Tally struct{ Held, Of int }

// Add counts one value of a result.
func (c *Tally) Add(t testing.TB, j *fit.Joint, value int, truth float64) {
	t.Helper()
	half, err := j.Expanded(value, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	c.Count(math.Abs(j.Values[value]-truth) <= half)
}

// Count counts one case.
func (c *Tally) Count(held bool) {
	c.Of++
	if held {
		c.Held++
	}
}

// Check wants 93 to 97 % held, or as near to 95 % as so few cases can come: three
// standard deviations of the count.
func (c *Tally) Check(t testing.TB, what string) {
	t.Helper()
	share := float64(c.Held) / float64(c.Of)
	t.Logf("%-36s %4d of %4d, %.1f %%", what, c.Held, c.Of, 100*share)
	if !(math.Abs(share-0.95) <= max(0.02, 3*math.Sqrt(0.95*0.05/float64(c.Of)))) {
		t.Errorf("%s: 95 %% intervals hold the truth in %.1f %%", what, 100*share)
	}
}

// Table reads a file of numbers with one header row.
func Table(t testing.TB, path string) [][]float64 {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out [][]float64
	for _, row := range rows[1:] {
		var numbers []float64
		for _, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				t.Fatal(err)
			}
			numbers = append(numbers, v)
		}
		out = append(out, numbers)
	}
	return out
}

// Moved wants what a source is stated to do to the values of a result to be what stating
// its input higher by one standard uncertainty does: the same work done again.
func Moved(t testing.TB, source string, from, to *fit.Joint) {
	t.Helper()
	for _, s := range from.Sources {
		if s.Name != source {
			continue
		}
		for i, effect := range s.Effects {
			Near(t, source+" on value "+strconv.Itoa(i), to.Values[i]-from.Values[i], effect, 0.02*math.Abs(effect)+2e-4*from.U(i))
		}
		return
	}
	t.Errorf("%s: not among the sources", source)
}
