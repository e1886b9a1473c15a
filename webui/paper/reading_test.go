package paper

import (
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
)

// grid is a table as a reader of the page finds it.
type grid struct {
	caption string
	head    []string
	rows    [][]string
}

// read returns the tables of a page, in order, and its words.
func read(t *testing.T, page string) (tables []*grid, words string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(page))
	d.Strict, d.AutoClose, d.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var text strings.Builder
	var now *grid
	var cell *string
	for {
		token, err := d.Token()
		if errors.Is(err, io.EOF) {
			return tables, strings.Join(strings.Fields(text.String()), " ")
		}
		if err != nil {
			t.Fatalf("the page is not well formed: %v", err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			switch token.Name.Local {
			case "table":
				now = &grid{}
				tables = append(tables, now)
			case "caption":
				cell = &now.caption
			case "tr":
				if len(now.head) > 0 {
					now.rows = append(now.rows, nil)
				}
			case "th", "td":
				if len(now.rows) == 0 {
					now.head = append(now.head, "")
					cell = &now.head[len(now.head)-1]
					break
				}
				row := &now.rows[len(now.rows)-1]
				*row = append(*row, "")
				cell = &(*row)[len(*row)-1]
			}
		case xml.EndElement:
			switch token.Name.Local {
			case "caption", "th", "td":
				cell = nil
			}
		case xml.CharData:
			text.Write(token)
			text.WriteByte(' ')
			if cell != nil {
				*cell += string(token)
			}
		}
	}
}

// find returns the n-th table, counted from 0, whose caption begins with some words.
func find(t *testing.T, tables []*grid, n int, caption string) *grid {
	t.Helper()
	for _, g := range tables {
		if strings.HasPrefix(g.caption, caption) {
			if n == 0 {
				return g
			}
			n--
		}
	}
	t.Fatalf("no table %q", caption)
	return nil
}
