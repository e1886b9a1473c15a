package fit

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
)

// table reads a file of numbers with one header row; where each number comes from is
// said in testdata/SOURCES.md.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	f, err := os.Open("testdata/" + name)
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

// points takes y and x from the named columns of a table.
func points(rows [][]float64, x, y int) []Point {
	var p []Point
	for _, row := range rows {
		p = append(p, Point{X: row[x], Y: row[y]})
	}
	return p
}

// near wants got within tol of want, relative to want's size (absolute where want is
// zero).
func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !within(got, want, tol) {
		t.Errorf("%s = %.15g, want %.15g within %.1g", what, got, want, tol)
	}
}

func within(got, want, tol float64) bool {
	size := math.Abs(want)
	if size == 0 {
		size = 1
	}
	return math.Abs(got-want) <= tol*size
}

func TestWithin(t *testing.T) {
	if within(1.1, 1, 0.01) || within(math.NaN(), 1, 1) || within(1, math.NaN(), 1) || within(0.1, 0, 0.01) {
		t.Error("passes what is not near")
	}
	if !within(1.005, 1, 0.01) || !within(0.005, 0, 0.01) {
		t.Error("refuses what is near")
	}
}

// refused wants an error that says each of the words.
func refused(t *testing.T, err error, words ...string) {
	t.Helper()
	if err == nil {
		t.Errorf("passed, want a refusal that says %q", words)
		return
	}
	for _, w := range words {
		if !strings.Contains(err.Error(), w) {
			t.Errorf("refused with %q, want it to say %q", err, w)
		}
	}
}
