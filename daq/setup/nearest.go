package setup

import (
	"fmt"
	"reflect"
)

// nearest suggests the key that was probably meant, when one is near.
func nearest(key string) string {
	best, distance := "", 1+len(key)/4
	for name := range keyNames {
		if d := editDistance(key, name); d < distance {
			best, distance = name, d
		}
	}
	if best == "" {
		return ""
	}
	return fmt.Sprintf("; did you mean %s?", best)
}

// keyNames yields the keys of a bench file, in their order.
func keyNames(yield func(string) bool) {
	kinds := reflect.TypeFor[keys]()
	for i := range kinds.NumField() {
		if !yield(kinds.Field(i).Tag.Get("toml")) {
			return
		}
	}
}

// editDistance counts the insertions, deletions and replacements that turn a into b.
func editDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		diagonal := row[0]
		row[0] = i + 1
		for j := range len(b) {
			replace := diagonal
			if a[i] != b[j] {
				replace++
			}
			diagonal = row[j+1]
			row[j+1] = min(replace, row[j+1]+1, row[j]+1)
		}
	}
	return row[len(b)]
}
