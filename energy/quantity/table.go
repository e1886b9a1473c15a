package quantity

import (
	"encoding/csv"
	"strings"
)

// Table returns a reader of a table as people and their spreadsheets write one: cells
// between commas or, where the decimal sign is a comma, between semicolons or tabs, blanks
// before a cell, a byte order mark before all. The first line tells which.
func Table(text string) *csv.Reader {
	text = strings.TrimPrefix(text, "\ufeff")
	r := csv.NewReader(strings.NewReader(text))
	first, _, _ := strings.Cut(text, "\n")
	switch {
	case strings.Contains(first, ";"):
		r.Comma = ';'
	case strings.Contains(first, "\t"):
		r.Comma = '\t' // and a blank cell lies between two of them
		return r
	}
	r.TrimLeadingSpace = true
	return r
}
