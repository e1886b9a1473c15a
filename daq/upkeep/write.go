package upkeep

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"time"

	"github.com/BurntSushi/toml"
)

// text returns e as it is added to a book: a table of the array [[calibration]], points
// a line each.
func (e *Entry) text() (string, error) {
	var s strings.Builder
	s.WriteString("\n[[calibration]]\n")
	line := func(key string, value any) error {
		v, err := inline(value)
		if err != nil {
			return fmt.Errorf("write %s of the calibration of the %s: %w", key, e.Kind.Part(), err)
		}
		fmt.Fprintf(&s, "%s = %s\n", key, v)
		return nil
	}
	fields := []struct {
		key   string
		value any
		omit  bool
	}{
		{"kind", string(e.Kind), false},
		{"date", e.Date.UTC().Truncate(time.Second), false},
		{"due", e.Due.UTC().Truncate(time.Second), e.Due.IsZero()},
		{"by", clean(e.By), e.By == ""},
		{"note", clean(e.Note), e.Note == ""},
		{"method", clean(e.Method), e.Method == ""},
		{"warnings", e.Warnings, len(e.Warnings) == 0},
		{"as_found", e.AsFound, len(e.AsFound) == 0},
		{"as_left", e.AsLeft, false},
	}
	for _, f := range fields {
		if f.omit {
			continue
		}
		if err := line(f.key, f.value); err != nil {
			return "", err
		}
	}
	if len(e.Points) == 0 {
		return s.String(), nil
	}
	s.WriteString("points = [\n")
	for _, p := range e.Points {
		v, err := inline(p)
		if err != nil {
			return "", fmt.Errorf("write a point of the calibration of the %s: %w", e.Kind.Part(), err)
		}
		fmt.Fprintf(&s, "  %s,\n", v)
	}
	s.WriteString("]\n")
	return s.String(), nil
}

// inline writes a value on one line; the library writes tables on lines of their own.
func inline(value any) (string, error) {
	if table, ok := value.(map[string]any); ok {
		var parts []string
		for _, key := range slices.Sorted(maps.Keys(table)) {
			v, err := inline(table[key])
			if err != nil {
				return "", err
			}
			parts = append(parts, key+" = "+v)
		}
		return "{ " + strings.Join(parts, ", ") + " }", nil
	}
	text, err := toml.Marshal(map[string]any{"v": value})
	if err != nil {
		return "", err
	}
	return strings.TrimSpace(strings.TrimPrefix(string(text), "v = ")), nil
}

// clean is text that a book can hold.
func clean(text string) string { return strings.ToValidUTF8(text, "\uFFFD") }
