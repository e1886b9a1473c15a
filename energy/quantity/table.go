package quantity

import (
	"encoding/csv"
	"strings"
)

// Table returns a reader of a table as people and their spreadsheets write one: cells
// between commas or, where the decimal sign is a comma, between semicolons, blanks before
// a cell, a byte order mark before all. The first line tells which.
func Table(text string) *csv.Reader {
	text = strings.TrimPrefix(text, "\ufeff")
	r := csv.NewReader(strings.NewReader(text))
	if first, _, _ := strings.Cut(text, "\n"); strings.Contains(first, ";") {
		r.Comma = ';'
	}
	r.TrimLeadingSpace = true
	return r
}
