package setup

import (
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The README's table names every key once, with what counts where it is left out, and its
// examples make a bench file.
func TestReadmeHasEveryKey(t *testing.T) {
	text, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := map[string][]string{}
	var bench strings.Builder
	for _, line := range regexp.MustCompile("(?m)^\\| `.*$").FindAllString(string(text), -1) {
		cells := strings.Split(strings.Trim(line, "| "), " | ")
		for i := range cells {
			cells[i] = strings.Trim(cells[i], " `|")
		}
		if len(cells) == 4 { // without a unit
			cells = slices.Insert(cells, 2, "")
		}
		if len(cells) != 5 || rows[cells[0]] != nil {
			t.Errorf("row %q: %d cells must be 5, and each key in one row", line, len(cells))
			continue
		}
		rows[cells[0]] = cells
		bench.WriteString(cells[0] + " = " + cells[4] + "\n")
	}
	blank := Blank()
	numbers := blank.Pick(slices.Collect(keyNames)...)
	for key := range keyNames {
		row, ok := rows[key]
		if !ok {
			t.Errorf("%s: the table lacks this key", key)
			continue
		}
		delete(rows, key)
		want, number := strconv.FormatFloat(numbers[key], 'g', 12, 64), false
		if _, number = numbers[key]; slices.Contains(measured, key) {
			want = "needed"
		}
		if number && row[3] != want {
			t.Errorf("%s: left out it counts as %s, the table says %q", key, want, row[3])
		}
	}
	for key := range rows {
		t.Errorf("%s: the table has this, a bench file has not", key)
	}
	if _, err := Parse(bench.String()); err != nil {
		t.Errorf("the examples of the table: %v", err)
	}
}
