package tidy

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"joulewell/daq/trials/kept"
)

// formula are the characters with which spreadsheets let a formula begin (common
// practice, no source), and the apostrophe that says it is none.
const formula = "=+-@'"

// guard puts an apostrophe before text that a spreadsheet may take for a formula, also
// after blanks, tabs and line ends.
func guard(text string) string {
	if bare := strings.TrimLeft(text, " \t\r\n\u00a0"); bare != "" && strings.ContainsRune(formula, []rune(bare)[0]) {
		return "'" + text
	}
	return text
}

// unguard is the way back.
func unguard(text string) string {
	if bare, ok := strings.CutPrefix(text, "'"); ok && guard(bare) == text {
		return bare
	}
	return text
}

// parse reads a finite number with a point or a decimal comma.
func parse(text string) (float64, error) {
	v, err := strconv.ParseFloat(strings.Replace(strings.TrimSpace(text), ",", ".", 1), 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, fmt.Errorf("%q is not a number", text)
	}
	return v, nil
}

func stamp(k *kept.Kept) string {
	if k.Created.IsZero() {
		return ""
	}
	return k.Created.UTC().Format(time.RFC3339)
}

// stamps are the ways in which an instant may be written, without a zone in UTC.
var stamps = []string{time.RFC3339, "2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02 15:04"}

func setStamp(p place, text string) error {
	for _, form := range stamps {
		if at, err := time.Parse(form, text); err == nil {
			p.of.Created = at.UTC()
			return nil
		}
	}
	return fmt.Errorf("%q is not an instant such as 2026-11-25T18:42:10Z", text)
}
