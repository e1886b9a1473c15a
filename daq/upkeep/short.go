package upkeep

import (
	"fmt"
	"maps"
	"slices"
	"strings"
)

// Short says in a line what was read for an entry: how many points, and of each of their
// columns the least and the most, or what was written there. Empty = no point is kept.
func (e *Entry) Short() string {
	if len(e.Points) == 0 {
		return ""
	}
	columns := map[string][]any{}
	for _, p := range e.Points {
		for key, v := range p {
			columns[key] = append(columns[key], v)
		}
	}
	var parts []string
	for _, key := range slices.Sorted(maps.Keys(columns)) {
		if strings.Contains(key, "_u_") {
			continue
		}
		parts = append(parts, key+" "+column(columns[key]))
	}
	points := "points"
	if len(e.Points) == 1 {
		points = "point"
	}
	return fmt.Sprintf("%d %s: %s", len(e.Points), points, strings.Join(parts, "; "))
}

// column writes the values of a column.
func column(values []any) string {
	var numbers []float64
	var words []string
	for _, v := range values {
		switch v := v.(type) {
		case float64:
			numbers = append(numbers, v)
		case int64:
			numbers = append(numbers, float64(v))
		default:
			if w := fmt.Sprint(v); !slices.Contains(words, w) {
				words = append(words, w)
			}
		}
	}
	if len(words) > 0 || len(numbers) == 0 {
		const few = 6
		if len(words) > few {
			words = append(words[:few-1], "...", words[len(words)-1])
		}
		return strings.Join(words, ", ")
	}
	low, high := slices.Min(numbers), slices.Max(numbers)
	if low == high {
		return fmt.Sprintf("%.6g", low)
	}
	return fmt.Sprintf("%.6g to %.6g", low, high)
}
