package runfile

import (
	"errors"
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"joulewell/daq/decimal"
	"joulewell/daq/frame"
)

// Each derived column is read into the place from which it is written.
func TestDerivedPlaces(t *testing.T) {
	count := 0
	for i, c := range columns {
		if c.Kind != frame.Derived {
			continue
		}
		count++
		at := derived[c.Name]
		if at == nil {
			t.Errorf("%s has no place in derived", c.Name)
			continue
		}
		f := blank
		*at(&f) = float64(i)
		for j, other := range columns {
			if v := other.Of(&f); (i == j) != (v == float64(i)) {
				t.Errorf("%s set to %d: %s is %g", c.Name, i, other.Name, v)
			}
		}
	}
	if count != len(derived) {
		t.Errorf("derived has %d places for %d columns", len(derived), count)
	}
}

// The same for the raw columns, by their names.
func TestRawPlaces(t *testing.T) {
	for i, c := range columns {
		if c.Kind != frame.Raw {
			continue
		}
		f := blank
		if err := fieldOf(c.Name)(&f, []byte("17")); err != nil {
			t.Fatal(err)
		}
		for j, other := range columns {
			if v := other.Of(&f); (i == j) != (v == 17) {
				t.Errorf("%s read: %s is %g", c.Name, other.Name, v)
			}
		}
	}
}

func TestNumberIsStrconv(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, text string) {
		want, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatalf("strconv: %v", err)
		}
		got, err := parseNumber([]byte(text))
		if err != nil || math.Float64bits(got) != math.Float64bits(want) {
			t.Fatalf("%s reads as %x (%v), strconv has %x", text, got, err, want)
		}
	}
	for _, text := range []string{"0", "-0", "1.", ".5", "9007199254740993", "9007199254740992", "0.1", "1e22", "1e23",
		"18446744073709551617", "123456789012345678901234567890", "0.0000000000000000001", "-1.5E-3", "+2", "2.2250738585072011e-308"} {
		check(t, text)
	}
	t.Run("fixed", rapid.MakeCheck(func(t *rapid.T) {
		x := rapid.Float64().Draw(t, "x")
		check(t, strconv.FormatFloat(x, 'f', rapid.IntRange(-1, 12).Draw(t, "digits"), 64))
	}))
	t.Run("text", rapid.MakeCheck(func(t *rapid.T) {
		check(t, rapid.StringMatching(`-?[0-9]{1,20}(\.[0-9]{0,19})?`).Draw(t, "text"))
	}))
}

func TestFieldRefusals(t *testing.T) {
	for _, c := range []struct {
		column string
		texts  []string
		want   error
	}{
		{"kinetic_J", []string{"NaN", "inf", "-Inf", "0x1p-2", "1_000", "1,5", "1e999", "-", ".", "e5", "--1", "1.2.3", " 1", "1 "}, errNumber},
		{"raw_echo_us", []string{"nan", "0x10", "abc", "1e"}, errNumber},
		{"epoch", []string{"", "-1", "1.0", "4294967296", "99999999999"}, errWhole},
		{"seq", []string{"", "x"}, errWhole},
		{"device_us", []string{"", "+1"}, errWhole},
		{"time_s", []string{"", "1e3", "1.0000000001", "9223372036.854775808", "-9223372036.854775809", "99999999999", "18446744073709551617", "-", "1-2"}, errTime},
		{"flags", []string{"Gap", "gap,outlier", "gap  outlier", "lost"}, errFlags},
	} {
		for _, text := range c.texts {
			f := blank
			if err := fieldOf(c.column)(&f, []byte(text)); !errors.Is(err, c.want) {
				t.Errorf("%s = %q: %v, want %v", c.column, text, err, c.want)
			}
		}
	}
}

func TestTimes(t *testing.T) {
	for text, want := range map[string]int64{
		"0": 0, "-0.012000000": -12_000_000, "61.000000007": 61_000_000_007, "1.5": 1_500_000_000, "-0.0": 0,
		"9223372036.854775807": math.MaxInt64, "-9223372036.854775808": math.MinInt64,
	} {
		if got, err := parseNanoseconds([]byte(text)); err != nil || got != want {
			t.Errorf("%s reads as %d (%v), want %d", text, got, err, want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		want := rapid.Int64().Draw(t, "t")
		if got, err := parseNanoseconds(decimal.AppendSeconds(nil, want)); err != nil || got != want {
			t.Fatalf("%d ns reads as %d (%v)", want, got, err)
		}
	})
}
