package wire

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestNumbersTaken(t *testing.T) {
	for _, c := range []struct {
		text string
		want float64
	}{
		{"0", 0}, {"-0", 0}, {"-0.0", 0}, {"007", 7}, {"+5", 5}, {"-184223", -184223},
		{"21.4", 21.4}, {".5", .5}, {"5.", 5}, {"1e-3", 1e-3}, {"1E+3", 1000}, {"-2.5e2", -250},
		{"1e15", 1e15}, {"-1e15", -1e15}, {"1000000000000000", 1e15}, {"0.000001e21", 1e15},
		{"9007199254740993e-2", 90071992547409.93}, // 2^53 + 1: beyond the fast way
		{"1e-400", 0}, {"0e99999999", 0}, {"4.9e-324", 5e-324}, {"123456789012345.678", 123456789012345.678},
		{"00000000000000000000000000000001", 1}, // 32 bytes
	} {
		v, why := parseNumber([]byte(c.text))
		if why != NoReason || v != c.want || math.Signbit(v) != math.Signbit(c.want) {
			t.Errorf("parseNumber(%q) = %v, %s; want %v", c.text, v, why, c.want)
		}
	}
}

func TestNumbersRefused(t *testing.T) {
	for text, want := range map[string]Reason{
		"nan": NotANumber, "NaN": NotANumber, "inf": NotANumber, "-Inf": NotANumber, "+infinity": NotANumber,
		"0x1p3": NotANumber, "0x10": NotANumber, "1_000": NotANumber, "1 ": NotANumber, " 1": NotANumber,
		"-": NotANumber, "+": NotANumber, ".": NotANumber, "-.": NotANumber, "e5": NotANumber, ".e5": NotANumber,
		"1e": NotANumber, "1e+": NotANumber, "1e-": NotANumber, "1e5.": NotANumber, "1.2.3": NotANumber,
		"--1": NotANumber, "+-1": NotANumber, "1-2": NotANumber, "1e2e3": NotANumber, "12a": NotANumber, "1:": NotANumber, "1/": NotANumber,
		strings.Repeat("0", 33):  NotANumber,
		"1.00000000000000001e15": NoReason, // rounds to 1e15
		"1.000000000000001e15":   OutOfRange,
		"-1000000000000001":      OutOfRange,
		"1e16":                   OutOfRange, "-1e999": OutOfRange, "1e99999999999": OutOfRange,
		"99999999999999999999999999999999": OutOfRange,
	} {
		if v, why := parseNumber([]byte(text)); why != want {
			t.Errorf("parseNumber(%q) = %v, %s; want %s", text, v, why, want)
		}
	}
}

// The grammar in other words, and strconv's value of it.
var grammar = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$`)

func TestNumbersAgreeWithStrconv(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(
			rapid.StringMatching(`[+-]?[0-9]{0,18}\.?[0-9]{0,12}([eE][+-]?[0-9]{1,3})?`),
			rapid.StringMatching(`[+\-.eE0-9xna_ ]{1,12}`),
			rapid.Map(rapid.Float64(), func(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }),
		).Filter(func(s string) bool { return 0 < len(s) && len(s) <= maxDigits }).Draw(t, "text")
		v, why := parseNumber([]byte(text))
		want, _ := strconv.ParseFloat(text, 64) // infinite where out of range
		switch {
		case !grammar.MatchString(text):
			if why != NotANumber {
				t.Fatalf("parseNumber(%q) = %v, %s; want it refused", text, v, why)
			}
		case math.Abs(want) > MaxValue:
			if why != OutOfRange {
				t.Fatalf("parseNumber(%q) = %v, %s; want it out of range", text, v, why)
			}
		case why != NoReason || v != want:
			t.Fatalf("parseNumber(%q) = %v, %s; strconv says %v", text, v, why, want)
		}
	})
}

func TestStamps(t *testing.T) {
	for _, c := range []struct {
		text string
		want uint32
		why  Reason
	}{
		{"0", 0, NoReason}, {"0010", 10, NoReason}, {"4294967295", math.MaxUint32, NoReason},
		{"4294967296", 0, OutOfRange}, {"18446744073709551617", 0, OutOfRange}, {"99999999999999999999999999999999", 0, OutOfRange},
		{"", 0, NoStamp}, {"-1", 0, NotANumber}, {"+1", 0, NotANumber}, {"1.0", 0, NotANumber}, {"1e3", 0, NotANumber}, {" 1", 0, NotANumber},
		{strings.Repeat("0", 33), 0, NotANumber},
	} {
		if n, why := parseStamp([]byte(c.text)); why != c.why || why == NoReason && n != c.want {
			t.Errorf("parseStamp(%q) = %d, %s; want %d, %s", c.text, n, why, c.want, c.why)
		}
	}
}
